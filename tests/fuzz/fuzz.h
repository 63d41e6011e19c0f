/* What every fuzz target shares: the entry's declaration and a check that stops the run. */
#ifndef TW_FUZZ_H
#define TW_FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "trimwell.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

#define must(what)                                                                                 \
    do {                                                                                           \
        if (!(what)) {                                                                             \
            fprintf(stderr, "%s:%d: must hold: %s\n", __FILE__, __LINE__, #what);                  \
            abort();                                                                               \
        }                                                                                          \
    } while (0)

/* A refusal has a name, words, and nothing that could drive a terminal. */
static inline void must_be_sound(const tw_error *error, tw_code code) {
    char text[2048];
    must(code == TW_INPUT || code == TW_DAMAGED || code == TW_NOT_YET);
    must(error->code == code && error->name != NULL && error->name[0] != '\0');
    must(error->message[0] != '\0');
    tw_error_text(error, text, sizeof text);
    for (const char *at = text; *at != '\0'; at++)
        must((unsigned char)*at >= 0x20 && *at != 0x7F);
}

#endif

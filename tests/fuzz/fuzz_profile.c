/* Fuzz target: an ICC profile; its description is short, UTF-8, and drives no terminal. */
#include "base/text.h"
#include "fuzz.h"
#include "image/icc_head.h"

static void check(const tw_profile *profile) {
    must(profile->channels == 0 || profile->channels == 1 || profile->channels == 3 ||
         profile->channels == 4);
    must(strlen(profile->device_class) == 4 && strlen(profile->space) == 4);
    if (profile->description == NULL)
        return;
    size_t length = strlen(profile->description);
    must(length < 500 && tw_utf8_valid(profile->description, length) == length);
    for (size_t i = 0; i < length; i++)
        must((unsigned char)profile->description[i] >= 0x20 && profile->description[i] != 0x7F);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_profile profile;
    tw_error error = {0};
    tw_code code = tw_profile_read(arena, bytes, length, &profile, &error);
    if (code == TW_OK)
        check(&profile);
    else
        must_be_sound(&error, code);
    tw_arena_free(arena);
    return 0;
}

/*
 * Memory that may not be touched: under AddressSanitizer a read or a write there ends the program
 * with a report; in other builds all of this is nothing.
 */
#ifndef TW_BASE_POISON_H
#define TW_BASE_POISON_H

#include <stddef.h>

#if defined(__SANITIZE_ADDRESS__) /* gcc */
#define TW_POISONS 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) /* clang */
#define TW_POISONS 1
#endif
#endif

#ifdef TW_POISONS
#include <sanitizer/asan_interface.h>

enum { TW_RED_ZONE = 32 }; /* bytes left untouchable behind a piece; keeps every alignment */
#else
enum { TW_RED_ZONE = 0 };
#endif

static inline void tw_poison(const void *from, size_t size) {
#ifdef TW_POISONS
    __asan_poison_memory_region(from, size);
#else
    (void)from, (void)size;
#endif
}

static inline void tw_unpoison(const void *from, size_t size) {
#ifdef TW_POISONS
    __asan_unpoison_memory_region(from, size);
#else
    (void)from, (void)size;
#endif
}

#endif

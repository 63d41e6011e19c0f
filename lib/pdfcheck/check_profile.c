/* Output intents (ISO 32000-1, 14.11.5) and the ICC profiles of ICCBased spaces (8.6.5.5). */
#include "pdfcheck/rules.h"

#include "image/icc_head.h"

#include <string.h>

/* The channels of an embedded profile, and what its header says; 0 when it is not valid. */
static int read_embedded(tw_checkup *c, const tw_pdfin_value *stream, tw_profile *out) {
    tw_buffer bytes;
    const char *why;
    *out = (tw_profile){.device_class = "none"};
    if (!tw_pdfin_unpack(c->pdf, stream, &bytes, &why))
        return 0;
    tw_code code = bytes.bytes == NULL ? TW_INPUT
                                       : tw_profile_read(c->arena, (unsigned char *)bytes.bytes,
                                                         bytes.length, out, NULL);
    tw_buffer_free(&bytes);
    if (code != TW_OK) {
        *out = (tw_profile){.device_class = "none"};
        return 0;
    }
    return strcmp(out->space, "Lab ") == 0 ? 3 : out->channels;
}

/* From memory: ISO 19005-2, 6.2.4.2 and 6.2.3 ask for a profile of ICC.1 (not of its successor,
 * version 5).
 */
static void check_header(tw_checkup *c, tw_pdf_check check, const char *which,
                         const tw_profile *profile) {
    if (!tw_profile_has_version(profile))
        tw_checkup_fail(c, check, "%s profile of ICC version %d.%d, not 2 or 4", which,
                        profile->version_major, profile->version_minor);
    else if (!tw_profile_connects(profile))
        tw_checkup_fail(c, check, "%s profile that connects through \"%s\", not XYZ or Lab", which,
                        profile->connection);
}

static bool has_channels(tw_checkup *c, const tw_pdfin_value *stream, int channels) {
    const tw_pdfin_value *count = tw_pdfin_get(c->pdf, stream, "N");
    return channels > 0 && count->kind == TW_PDFIN_NUMBER &&
           count->number == (int64_t)channels * TW_PDFIN_ONE;
}

/* Input, display, output and colour space profiles may define a space (ISO 19005-2, 6.2.4.2). */
void tw_checkup_icc_based(tw_checkup *c, const tw_pdfin_value *array) {
    tw_profile seen;
    if (tw_checkup_seen(c, &array->items[1], TW_SEEN_PROFILE))
        return;
    const tw_pdfin_value *stream = tw_pdfin_item(c->pdf, array, 1);
    int channels = read_embedded(c, stream, &seen);
    if (channels == 0)
        tw_checkup_fail(c, TW_CHECK_PROFILES, "an ICCBased space has no valid profile");
    else if (!has_channels(c, stream, channels))
        tw_checkup_fail(c, TW_CHECK_PROFILES, "an ICCBased space says another N than %d channels",
                        channels);
    else if (!tw_profile_is_source(&seen))
        tw_checkup_fail(c, TW_CHECK_PROFILES, "an ICCBased space has a profile of class %s",
                        seen.device_class);
    else
        check_header(c, TW_CHECK_PROFILES, "an ICCBased space has a", &seen);
}

/* ------------------------------------------------ output intents */

static void check_print_intent(tw_checkup *c, const tw_pdfin_value *intent) {
    tw_profile seen;
    const tw_pdfin_value *profile = tw_pdfin_get(c->pdf, intent, "DestOutputProfile");
    int channels = read_embedded(c, profile, &seen);
    if (tw_pdfin_get(c->pdf, intent, "OutputConditionIdentifier")->kind != TW_PDFIN_STRING)
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT, "it has no OutputConditionIdentifier");
    else if (profile->kind != TW_PDFIN_STREAM)
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT, "it has no DestOutputProfile");
    else if (strcmp(seen.device_class, "prtr") != 0)
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT,
                        "its profile is of class %s, not a printer's (prtr)", seen.device_class);
    else if (!has_channels(c, profile, channels))
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT, "its profile says another N than its channels");
    else
        check_header(c, TW_CHECK_PRINT_INTENT, "it has a", &seen);
}

static void check_archive_intent(tw_checkup *c, const tw_pdfin_value *intent) {
    tw_profile seen;
    const tw_pdfin_value *profile = tw_pdfin_get(c->pdf, intent, "DestOutputProfile");
    int channels = read_embedded(c, profile, &seen);
    bool fit = strcmp(seen.device_class, "prtr") == 0 || strcmp(seen.device_class, "mntr") == 0;
    c->archive_intent = true;
    c->archive_channels = channels;
    if (profile->kind != TW_PDFIN_STREAM)
        tw_checkup_fail(c, TW_CHECK_ARCHIVE_INTENT, "it has no DestOutputProfile");
    else if (!fit)
        tw_checkup_fail(c, TW_CHECK_ARCHIVE_INTENT, "its profile is of class %s, not prtr or mntr",
                        seen.device_class);
    else if (!has_channels(c, profile, channels))
        tw_checkup_fail(c, TW_CHECK_ARCHIVE_INTENT, "its profile says another N than its channels");
    else
        check_header(c, TW_CHECK_ARCHIVE_INTENT, "it has a", &seen);
}

/* All that name a profile name the same one. */
static void check_same(tw_checkup *c, const tw_pdfin_value *intents) {
    int64_t first = -1;
    for (size_t i = 0; i < tw_pdfin_items(intents); i++) {
        const tw_pdfin_value *profile =
            tw_pdfin_raw(tw_pdfin_item(c->pdf, intents, i), "DestOutputProfile");
        if (profile->kind != TW_PDFIN_REF)
            continue;
        if (first >= 0 && profile->number != first)
            tw_checkup_fail(c, TW_CHECK_ARCHIVE_INTENT, "its output intents have several profiles");
        first = first >= 0 ? first : profile->number;
    }
}

void tw_checkup_intents(tw_checkup *c) {
    const tw_pdfin_value *intents = tw_pdfin_get(c->pdf, c->root, "OutputIntents");
    size_t print = 0;
    for (size_t i = 0; i < tw_pdfin_items(intents) && i < 64; i++) {
        const tw_pdfin_value *intent = tw_pdfin_item(c->pdf, intents, i);
        const tw_pdfin_value *kind = tw_pdfin_get(c->pdf, intent, "S");
        if (tw_pdfin_is_name(kind, "GTS_PDFX")) {
            print++;
            check_print_intent(c, intent);
        } else if (tw_pdfin_is_name(kind, "GTS_PDFA1")) {
            check_archive_intent(c, intent);
        }
    }
    if (print != 1)
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT,
                        print == 0 ? "it has no output intent of PDF/X"
                                   : "it has several output intents of PDF/X");
    check_same(c, intents);
}

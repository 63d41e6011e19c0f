/* Output intents (ISO 32000-1, 14.11.5) and the ICC profiles of ICCBased spaces (8.6.5.5). */
#include "output/pdf_check_inside.h"

#include "intake/intake.h"

#include <string.h>

int tw_checkup_profile(tw_checkup *c, const tw_pdfin_value *stream, char class_name[5]) {
    tw_buffer bytes;
    const char *why;
    tw_profile profile;
    memcpy(class_name, "none", 5);
    if (!tw_pdfin_unpack(c->pdf, stream, &bytes, &why))
        return 0;
    tw_code code = bytes.bytes == NULL ? TW_INPUT
                                       : tw_profile_read(c->arena, (unsigned char *)bytes.bytes,
                                                         bytes.length, &profile, NULL);
    tw_buffer_free(&bytes);
    if (code != TW_OK)
        return 0;
    memcpy(class_name, profile.device_class, 5);
    return strcmp(profile.space, "Lab ") == 0 ? 3 : profile.channels;
}

static bool has_channels(tw_checkup *c, const tw_pdfin_value *stream, int channels) {
    const tw_pdfin_value *count = tw_pdfin_get(c->pdf, stream, "N");
    return channels > 0 && count->kind == TW_PDFIN_NUMBER &&
           count->number == (int64_t)channels * TW_PDFIN_ONE;
}

/* Input, display, output and colour space profiles may define a space (ISO 19005-2, 6.2.4.2). */
void tw_checkup_icc_based(tw_checkup *c, const tw_pdfin_value *array) {
    char class_name[5];
    if (tw_checkup_seen(c, &array->items[1], TW_SEEN_PROFILE))
        return;
    const tw_pdfin_value *stream = tw_pdfin_item(c->pdf, array, 1);
    int channels = tw_checkup_profile(c, stream, class_name);
    if (channels == 0)
        tw_checkup_fail(c, TW_CHECK_PROFILES, "an ICCBased space has no valid profile");
    else if (!has_channels(c, stream, channels))
        tw_checkup_fail(c, TW_CHECK_PROFILES, "an ICCBased space says another N than %d channels",
                        channels);
    else if (strcmp(class_name, "scnr") != 0 && strcmp(class_name, "mntr") != 0 &&
             strcmp(class_name, "prtr") != 0 && strcmp(class_name, "spac") != 0)
        tw_checkup_fail(c, TW_CHECK_PROFILES, "an ICCBased space has a profile of class %s",
                        class_name);
}

/* ------------------------------------------------ output intents */

static void check_print_intent(tw_checkup *c, const tw_pdfin_value *intent) {
    char class_name[5];
    const tw_pdfin_value *profile = tw_pdfin_get(c->pdf, intent, "DestOutputProfile");
    int channels = tw_checkup_profile(c, profile, class_name);
    if (tw_pdfin_get(c->pdf, intent, "OutputConditionIdentifier")->kind != TW_PDFIN_STRING)
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT, "it has no OutputConditionIdentifier");
    else if (profile->kind != TW_PDFIN_STREAM)
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT, "it has no DestOutputProfile");
    else if (strcmp(class_name, "prtr") != 0)
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT,
                        "its profile is of class %s, not a printer's (prtr)", class_name);
    else if (!has_channels(c, profile, channels))
        tw_checkup_fail(c, TW_CHECK_PRINT_INTENT, "its profile says another N than its channels");
}

static void check_archive_intent(tw_checkup *c, const tw_pdfin_value *intent) {
    char class_name[5];
    const tw_pdfin_value *profile = tw_pdfin_get(c->pdf, intent, "DestOutputProfile");
    int channels = tw_checkup_profile(c, profile, class_name);
    bool fit = strcmp(class_name, "prtr") == 0 || strcmp(class_name, "mntr") == 0;
    c->archive_intent = true;
    c->archive_channels = channels;
    if (profile->kind != TW_PDFIN_STREAM)
        tw_checkup_fail(c, TW_CHECK_ARCHIVE_INTENT, "it has no DestOutputProfile");
    else if (!fit)
        tw_checkup_fail(c, TW_CHECK_ARCHIVE_INTENT, "its profile is of class %s, not prtr or mntr",
                        class_name);
    else if (!has_channels(c, profile, channels))
        tw_checkup_fail(c, TW_CHECK_ARCHIVE_INTENT, "its profile says another N than its channels");
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

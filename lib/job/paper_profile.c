/*
 * A paper's ICC profile: read whole, its header looked at. A profile that cannot be used stops
 * the job; one that is not a printer's is kept, but cannot be an output intent, which is said.
 */
#include "base/file.h"
#include "base/limits.h"
#include "image/icc_head.h"
#include "job/readers.h"

#include <string.h>

static void say_display(tw_reader *r, const tw_json_value *value, const char *name,
                        const tw_profile *facts) {
    tw_error e = {0};
    tw_json_fail(value, &e, TW_OK, "no-output-intent",
                 "profile \"%s\" is of class \"%s\", not a printer's (\"prtr\"): the sheets carry "
                 "no output intent",
                 name, facts->device_class);
    tw_fail_hint(&e, "name the profile that was made for this printer and this paper");
    tw_notice(r, &e);
}

/* Grey, RGB and CMYK are what sheets can be printed with. */
static tw_code read_profile(tw_reader *r, tw_paper *p, tw_profile *facts, tw_error *e) {
    char *bytes = NULL;
    size_t length = 0;
    tw_code code = tw_file_read(r->arena, p->profile, TW_ICC_BYTES_MOST, &bytes, &length, e);
    if (code == TW_OK)
        code = tw_profile_read(r->arena, (unsigned char *)bytes, length, facts, e);
    if (code == TW_OK && facts->channels == 0)
        code = tw_fail(e, TW_INPUT, "profile",
                       "the ICC profile is for \"%s\"; it must be for grey, RGB or CMYK",
                       facts->space);
    if (code == TW_OK) {
        p->icc = (unsigned char *)bytes;
        p->icc_length = length;
        p->icc_channels = facts->channels;
    }
    return code;
}

static void take_bytes(tw_reader *r, const tw_json_value *value, const char *name, tw_paper *p) {
    tw_profile facts;
    tw_error why = {0}, e = {0};
    tw_code code = read_profile(r, p, &facts, &why);
    if (code == TW_OK) {
        p->icc_description = facts.description;
        p->icc_for_print = strcmp(facts.device_class, "prtr") == 0;
        if (!p->icc_for_print)
            say_display(r, value, name, &facts);
        return;
    }
    tw_json_fail(value, &e, code, why.name, "profile \"%s\" cannot be used: %s", name, why.message);
    tw_problem(r, &e);
}

void tw_take_profile(tw_reader *r, const tw_json_value *root, const char *folder, tw_paper *p) {
    const char *name = NULL;
    const tw_json_value *value = tw_json_get(root, "profile");
    tw_error e = {0};
    if (!tw_take_path(r, root, "profile", &name))
        return;
    p->profile_place = tw_place_of(r, value);
    p->profile = tw_profile_find(r, folder, name);
    if (p->profile != NULL)
        take_bytes(r, value, name, p);
    if (p->profile != NULL || tw_stopped(r))
        return;
    tw_json_fail(value, &e, TW_INPUT, "profile-missing", "profile \"%s\" is not there", name);
    tw_fail_hint(&e, "its path starts at the folder of the paper's file; the job's folder "
                     "and " TW_PROFILE_FOLDERS " are searched, too");
    tw_problem(r, &e);
}

/* The job's "colour": who converts, how, and what is taken for images that do not say what their
 * colours mean. Intents are written in three places (job, template, order line) and read here. */
#include <string.h>

#include "base/file.h"
#include "base/limits.h"
#include "base/text.h"
#include "image/icc_head.h"
#include "job/readers.h"

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static const char *const colour_names[] = {"mode", "intent", "black_point", "assume"};
static const tw_keys colour_keys = {"colour", colour_names, COUNT(colour_names), 0};

static const char *const assume_names[] = {"grey", "rgb", "cmyk"}; /* TW_GREY... */
static const tw_keys assume_keys = {"assume", assume_names, COUNT(assume_names), 0};

/* ------------------------------------------------ intent */

bool tw_intent_of(const char *word, tw_intent *out, tw_error *error) {
    static const char *const words[] = {"auto", "perceptual", "relative", "saturation"};
    for (size_t i = 0; i < COUNT(words); i++)
        if (strcmp(word, words[i]) == 0) {
            *out = (tw_intent)(TW_INTENT_AUTO + (int)i);
            return true;
        }
    if (strcmp(word, "absolute") == 0)
        (void)tw_fail(error, TW_INPUT, "intent-absolute",
                      "is \"absolute\", which is for proofs: on a print it would tint the picture "
                      "beside its border; write auto, perceptual, relative or saturation");
    else
        (void)tw_fail(error, TW_INPUT, "bad-choice",
                      "is \"%.40s\"; it may be auto, perceptual, relative or saturation", word);
    return false;
}

bool tw_intent_take(tw_reader *r, const tw_json_value *object, tw_intent *out) {
    const tw_json_value *value = tw_json_get(object, "intent");
    const char *word = "";
    tw_error why = {0}, e = {0};
    if (value == NULL)
        return false;
    if (tw_json_string(value, &word, &e) == TW_OK) {
        if (tw_intent_of(word, out, &why))
            return true;
        tw_json_fail(value, &e, TW_INPUT, why.name, "\"intent\" %s", why.message);
    } else {
        tw_name_key(&e, "intent");
    }
    return tw_problem(r, &e);
}

/* ------------------------------------------------ assumed profiles */

static bool is_usable(tw_reader *r, const tw_json_value *at, const char *name, int channels,
                      tw_assumed *out, int *found) {
    tw_profile profile;
    tw_error why = {0}, e = {0};
    tw_code code = tw_profile_read(r->arena, out->bytes, out->length, &profile, &why);
    if (code == TW_MEMORY)
        return tw_problem(r, &why);
    *found = profile.channels;
    if (code != TW_OK)
        tw_json_fail(at, &e, TW_INPUT, "profile", "\"%.100s\": %s", name, why.message);
    else if (profile.channels == 0 || (channels != 0 && profile.channels != channels))
        tw_json_fail(at, &e, TW_INPUT, "profile-space",
                     "\"%.100s\" is a profile for \"%s\"; here one for %s is needed", name,
                     profile.space,
                     channels == 1   ? "GRAY"
                     : channels == 3 ? "RGB"
                     : channels == 4 ? "CMYK"
                                     : "GRAY, RGB or CMYK");
    else
        return true;
    return tw_problem(r, &e);
}

static bool load(tw_reader *r, const tw_json_value *at, const char *name, tw_assumed *out) {
    const char *path = tw_profile_find(r, r->home == NULL ? "." : r->home, name);
    char *bytes = NULL;
    tw_error e = {0};
    if (tw_stopped(r))
        return false;
    if (path == NULL) {
        tw_json_fail(at, &e, TW_INPUT, "profile-missing", "profile \"%.100s\" is not there", name);
        tw_fail_hint(&e, "its path starts at the job's folder; " TW_PROFILE_FOLDERS
                         " are searched, too; \"srgb\" is built in");
        return tw_problem(r, &e);
    }
    if (tw_file_read(r->arena, path, TW_ICC_BYTES_MOST, &bytes, &out->length, &e) != TW_OK)
        return tw_problem(r, &e);
    out->bytes = (const unsigned char *)bytes;
    return true;
}

/* The profile of that name for images of `channels` channels (0: for those it fits). */
static void take_assumed(tw_reader *r, const tw_json_value *at, int channels, tw_job_data *job) {
    const char *name = NULL;
    tw_assumed assumed = {0};
    int found = 3;
    if (!tw_read_path(r, at, "assume", &name))
        return;
    bool built_in = (channels == 0 || channels == 3) && tw_same_ignoring_case(name, "srgb");
    if (!built_in &&
        (!load(r, at, name, &assumed) || !is_usable(r, at, name, channels, &assumed, &found)))
        return;
    assumed.name = name;
    assumed.place = tw_place_of(r, at);
    job->assume[found == 1 ? TW_GREY : found == 3 ? TW_RGB : TW_CMYK] = assumed;
}

/* "assume": one profile, or one for each kind of image. */
static void read_assume(tw_reader *r, const tw_json_value *colour, tw_job_data *job) {
    static const int channels[] = {1, 3, 4};
    const tw_json_value *value = tw_json_get(colour, "assume");
    if (value != NULL && tw_json_kind_of(value) != TW_JSON_OBJECT) {
        take_assumed(r, value, 0, job);
        return;
    }
    value = tw_take_object(r, colour, "assume", &assume_keys);
    for (size_t i = 0; i < COUNT(assume_names); i++) {
        const tw_json_value *at = tw_json_get(value, assume_names[i]);
        if (at != NULL)
            take_assumed(r, at, channels[i], job);
    }
}

void tw_colour_read(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    static const char *const modes[] = {"auto", "tag", "convert"}; /* TW_COLOUR_AUTO... */
    const tw_json_value *colour = tw_take_object(r, root, "colour", &colour_keys);
    size_t mode = 0;
    if (tw_take_choice(r, colour, "mode", modes, COUNT(modes), &mode))
        job->colour = (tw_colour_mode)mode;
    tw_intent_take(r, colour, &job->intent);
    tw_take_bool(r, colour, "black_point", &job->black_point);
    read_assume(r, colour, job);
}

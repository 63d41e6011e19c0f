/* What inspect found, as one JSON object. Lengths are exact to a millionth of a millimetre. */
#include "report/inspect.h"

#include "base/number.h"

static void add_key(tw_buffer *out, const char *key) {
    tw_buffer_print(out, ", \"%s\": ", key);
}

static void add_string(tw_buffer *out, const char *key, const char *value) {
    add_key(out, key);
    if (value == NULL)
        tw_buffer_string(out, "null");
    else
        tw_buffer_json_string(out, value);
}

static void add_integer(tw_buffer *out, const char *key, int64_t value) {
    add_key(out, key);
    tw_buffer_print(out, "%lld", (long long)value);
}

static void add_bool(tw_buffer *out, const char *key, bool value) {
    add_key(out, key);
    tw_buffer_string(out, value ? "true" : "false");
}

static void add_density(tw_buffer *out, const tw_image *image) {
    char x[TW_LENGTH_TEXT], y[TW_LENGTH_TEXT];
    add_key(out, "density");
    if (image->density_x <= 0 || image->density_y <= 0) {
        tw_buffer_string(out, "null");
        return;
    }
    tw_buffer_print(out, "{\"x\": %s, \"y\": %s, \"unit\": \"ppi\"}",
                    tw_decimal_text(tw_inspect_ppi(image->density_x), 3, true, x, sizeof x),
                    tw_decimal_text(tw_inspect_ppi(image->density_y), 3, true, y, sizeof y));
}

static void add_sizes(tw_buffer *out, const tw_inspected *seen) {
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT];
    add_key(out, "sizes");
    for (int i = 0; i < TW_INSPECT_SIZES; i++)
        tw_buffer_print(out, "%s{\"ppi\": %d, \"width\": %s, \"height\": %s}", i == 0 ? "[" : ", ",
                        seen->ppi[i], tw_mm_exact(seen->sizes[i].width, width),
                        tw_mm_exact(seen->sizes[i].height, height));
    tw_buffer_string(out, "], \"unit\": \"mm\"");
}

static void add_lab(tw_buffer *out, const char *key, tw_lab lab) {
    char l[TW_LENGTH_TEXT], a[TW_LENGTH_TEXT], b[TW_LENGTH_TEXT];
    add_key(out, key);
    tw_buffer_print(out, "[%s, %s, %s]",
                    tw_decimal_text(tw_inspect_tenths(lab.l), 1, false, l, sizeof l),
                    tw_decimal_text(tw_inspect_tenths(lab.a), 1, false, a, sizeof a),
                    tw_decimal_text(tw_inspect_tenths(lab.b), 1, false, b, sizeof b));
}

static void add_profile(tw_buffer *out, const tw_inspected *seen) {
    const tw_profile *profile = &seen->profile;
    add_key(out, "profile");
    if (!seen->has_profile) {
        tw_buffer_string(out, "null");
        return;
    }
    tw_buffer_string(out, "{\"class\": ");
    tw_buffer_json_string(out, profile->device_class);
    add_string(out, "space", profile->space);
    add_string(out, "connection", profile->connection);
    tw_buffer_print(out, ", \"version\": \"%d.%d\"", profile->version_major,
                    profile->version_minor);
    add_string(out, "description", profile->description);
    add_string(out, "intent", seen->intent);
    add_bool(out, "output_intent", seen->output_intent);
    if (seen->unfit != NULL)
        add_string(out, "unfit", seen->unfit);
    if (seen->is_profile && seen->unfit == NULL) {
        add_lab(out, "white", seen->facts.white);
        add_lab(out, "black", seen->facts.black);
        if (tw_inspect_has_volume(seen))
            add_integer(out, "gamut_volume", (int64_t)(seen->facts.gamut_volume + 0.5));
    }
    tw_buffer_string(out, "}");
}

static void add_image(tw_buffer *out, const tw_inspected *seen) {
    const tw_image *image = &seen->image;
    static const char *const names[] = {[TW_PNG] = "png", [TW_JPEG] = "jpeg", [TW_TIFF] = "tiff"};
    add_string(out, "format", names[image->format]);
    add_integer(out, "width", image->width);
    add_integer(out, "height", image->height);
    add_integer(out, "upright_width", image->upright_width);
    add_integer(out, "upright_height", image->upright_height);
    add_integer(out, "depth", image->depth);
    add_integer(out, "channels", tw_inspect_channels(image));
    add_string(out, "space", tw_inspect_space(image));
    add_bool(out, "palette", image->palette);
    add_bool(out, "transparent", image->alpha || image->transparent_key);
    add_bool(out, "interlaced", image->interlaced);
    add_bool(out, "progressive", image->progressive);
    add_integer(out, "pages", image->pages > 1 ? image->pages : 1);
    add_integer(out, "orientation", image->orientation);
    add_string(out, "orientation_words", seen->orientation);
    add_density(out, image);
    add_sizes(out, seen);
    add_string(out, "colour", seen->colour);
    add_profile(out, seen);
    add_string(out, "profile_problem", image->profile_problem);
    add_string(out, "colour_note", image->colour_note);
    add_string(out, "road", seen->road);
    add_bool(out, "untouched", seen->form.untouched);
}

void tw_inspect_add_json(const tw_inspected *seen, tw_buffer *out) {
    tw_buffer_string(out, "{\"file\": ");
    tw_buffer_json_string(out, seen->path);
    add_string(out, "kind", seen->is_profile ? "profile" : "image");
    add_integer(out, "bytes", seen->bytes);
    if (seen->is_profile)
        add_profile(out, seen);
    else
        add_image(out, seen);
    tw_buffer_string(out, "}");
}

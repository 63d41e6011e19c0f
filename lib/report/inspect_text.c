/* What inspect found, as lines for people: a name, then one fact a line. */
#include "report/inspect.h"

#include <string.h>

#include "base/number.h"

/* A terminal obeys control characters: none gets through. */
static void add_safe(tw_buffer *out, const char *text) {
    for (const char *at = text, *end = text + strlen(text); at < end;) {
        const char *from = at;
        size_t length = 1, left = (size_t)(end - at);
        while (length < 4 && length < left && tw_utf8_valid(from, length) != length)
            length++;
        if (tw_utf8_valid(from, length) != length) {
            tw_buffer_string(out, "?");
            at++;
            continue;
        }
        uint32_t c = tw_utf8_next(&at);
        if (c < 0x20 || (c >= 0x7F && c < 0xA0))
            tw_buffer_string(out, "?");
        else
            tw_buffer_add(out, from, (size_t)(at - from));
    }
}

static void add_line(tw_buffer *out, const char *what, const char *value) {
    tw_buffer_print(out, "  %-14s", what);
    add_safe(out, value);
    tw_buffer_string(out, "\n");
}

static void add_kind(tw_buffer *out, const tw_image *image) {
    static const char *const names[] = {[TW_PNG] = "PNG", [TW_JPEG] = "JPEG", [TW_TIFF] = "TIFF"};
    bool jpeg = image->format == TW_JPEG;
    tw_buffer_print(out, "  %-14s%s, %s%s%s%s%s, %d bit%s a channel, %d channel%s\n", "kind",
                    names[image->format], tw_inspect_space(image),
                    image->palette ? " from a palette" : "",
                    image->alpha || image->transparent_key ? ", partly transparent" : "",
                    image->interlaced ? ", interlaced" : "",
                    !jpeg                ? ""
                    : image->progressive ? ", progressive"
                                         : ", baseline",
                    image->depth, image->depth == 1 ? "" : "s", tw_inspect_channels(image),
                    tw_inspect_channels(image) == 1 ? "" : "s");
}

static void add_density(tw_buffer *out, const tw_image *image) {
    char x[TW_LENGTH_TEXT], y[TW_LENGTH_TEXT];
    if (image->density_x <= 0 || image->density_y <= 0) {
        add_line(out, "density", "not said");
        return;
    }
    tw_decimal_text(tw_inspect_ppi(image->density_x), 3, true, x, sizeof x);
    tw_decimal_text(tw_inspect_ppi(image->density_y), 3, true, y, sizeof y);
    if (strcmp(x, y) == 0)
        tw_buffer_print(out, "  %-14s%s pixels an inch (a template's size counts, not this)\n",
                        "density", x);
    else
        tw_buffer_print(out, "  %-14s%s x %s pixels an inch: not square, each axis differs\n",
                        "density", x, y);
}

static void add_sizes(tw_buffer *out, const tw_inspected *seen) {
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT];
    for (int i = 0; i < TW_INSPECT_SIZES; i++) {
        tw_buffer_print(out, "  at %d ppi    %s x ", seen->ppi[i],
                        tw_inch_ruler(seen->sizes[i].width, width));
        tw_buffer_print(out, "%s (", tw_inch_ruler(seen->sizes[i].height, height));
        tw_buffer_print(out, "%s x ", tw_mm_rounded(seen->sizes[i].width, 1, width));
        tw_buffer_print(out, "%s mm)\n", tw_mm_rounded(seen->sizes[i].height, 1, height));
    }
}

/* A signature without the blanks that fill it up. */
static int trimmed(const char *signature) {
    size_t length = strlen(signature);
    while (length > 0 && signature[length - 1] == ' ')
        length--;
    return (int)length;
}

static void add_profile(tw_buffer *out, const tw_inspected *seen) {
    const tw_profile *profile = &seen->profile;
    add_line(out, "profile",
             profile->description == NULL ? "without a description" : profile->description);
    tw_buffer_print(out, "  %-14s%s (%s)\n", "class", profile->device_class, seen->profile_class);
    tw_buffer_print(out, "  %-14s%.*s to %.*s, version %d.%d, %s\n", "space",
                    trimmed(profile->space), profile->space, trimmed(profile->connection),
                    profile->connection, profile->version_major, profile->version_minor,
                    seen->intent);
}

static void add_image(tw_buffer *out, const tw_inspected *seen) {
    const tw_image *image = &seen->image;
    add_kind(out, image);
    tw_buffer_print(out, "  %-14s%lu x %lu as stored, %lu x %lu upright\n", "pixels",
                    (unsigned long)image->width, (unsigned long)image->height,
                    (unsigned long)image->upright_width, (unsigned long)image->upright_height);
    tw_buffer_print(out, "  %-14s%d: %s\n", "orientation", image->orientation, seen->orientation);
    if (image->pages > 1)
        tw_buffer_print(out, "  %-14s%d in the file: the first is printed\n", "pages",
                        image->pages);
    add_density(out, image);
    add_sizes(out, seen);
    add_line(out, "colour", seen->colour);
    if (image->colour_note != NULL)
        add_line(out, "but", image->colour_note);
    if (seen->has_profile)
        add_profile(out, seen);
    add_line(out, "into the PDF", seen->road);
}

static void add_lab(tw_buffer *out, const char *what, tw_lab lab) {
    char l[TW_LENGTH_TEXT], a[TW_LENGTH_TEXT], b[TW_LENGTH_TEXT];
    tw_decimal_text(tw_inspect_tenths(lab.l), 1, false, l, sizeof l);
    tw_decimal_text(tw_inspect_tenths(lab.a), 1, false, a, sizeof a);
    tw_decimal_text(tw_inspect_tenths(lab.b), 1, false, b, sizeof b);
    tw_buffer_print(out, "  %-14sL* %s, a* %s, b* %s\n", what, l, a, b);
}

/* "cannot be one: the profile is of ICC version 5.1; versions 2 and 4 are read". */
static void add_refusal(tw_buffer *out, const char *what, const char *why) {
    tw_buffer_print(out, "  %-14scannot be one: ", what);
    add_safe(out, why);
    tw_buffer_string(out, "\n");
}

static void add_facts(tw_buffer *out, const tw_inspected *seen) {
    if (seen->unfit != NULL) {
        add_refusal(out, "as a paper", seen->unfit);
        return;
    }
    add_lab(out, "white", seen->facts.white);
    add_lab(out, "black", seen->facts.black);
    if (!tw_inspect_has_volume(seen))
        add_line(out, "gamut", "a line from white to black, which has no volume");
    else
        tw_buffer_print(out, "  %-14sabout %lld thousand cubic units of L*a*b*\n", "gamut",
                        (long long)(seen->facts.gamut_volume / 1000 + 0.5));
}

static void add_output_intent(tw_buffer *out, const tw_inspected *seen) {
    if (seen->output_intent)
        add_line(out, "output intent", "can be one: it is an output profile");
    else if (strcmp(seen->profile.device_class, "prtr") == 0)
        add_refusal(out, "output intent", seen->unfit);
    else
        add_refusal(out, "output intent",
                    "only an output profile (prtr) names a printing condition");
}

void tw_inspect_add_text(const tw_inspected *seen, tw_buffer *out) {
    add_safe(out, seen->path);
    tw_buffer_print(out, ": %lld bytes\n", (long long)seen->bytes);
    if (!seen->is_profile) {
        add_image(out, seen);
        return;
    }
    add_line(out, "kind", "ICC profile");
    add_profile(out, seen);
    add_facts(out, seen);
    add_output_intent(out, seen);
}

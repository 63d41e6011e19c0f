/*
 * What a PNG's colours mean, from the chunks that say it. The third edition's order of precedence
 * holds (PNG, W3C, third edition, 4.3): cICP, then iCCP, then sRGB, then gAMA and cHRM. The last
 * two and code points that are not sRGB's become a built profile, so that everything further on
 * knows profiles and sRGB alone. Chunks that contradict each other are said in colour_note.
 */
#include "image/png_facts.h"

#include "base/length.h"
#include "image/icc_make.h"

enum { SRGB_GAMMA = 45455 }; /* PNG, third edition, 11.3.2.5: what goes beside an sRGB chunk */

/* White, red, green, blue: IEC 61966-2-1, which takes them from ITU-R BT.709. */
static const uint32_t srgb_places[8] = {31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000};

typedef struct primaries {
    int code;
    const char *name;
    uint32_t places[8];
} primaries;

/* ITU-T H.273 (07/2021), Table 2. */
static const primaries known_primaries[] = {
    {1, "BT.709", {31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000}},
    {5, "BT.470 B, G", {31270, 32900, 64000, 33000, 29000, 60000, 15000, 6000}},
    {6, "BT.601 525", {31270, 32900, 63000, 34000, 31000, 59500, 15500, 7000}},
    {7, "SMPTE 240M", {31270, 32900, 63000, 34000, 31000, 59500, 15500, 7000}},
    {9, "BT.2020", {31270, 32900, 70800, 29200, 17000, 79700, 13100, 4600}},
    {11, "P3 theatre", {31400, 35100, 68000, 32000, 26500, 69000, 15000, 6000}},
    {12, "Display P3", {31270, 32900, 68000, 32000, 26500, 69000, 15000, 6000}},
};

typedef struct transfer {
    int code;
    const char *name;
    uint32_t up, down; /* as tw_icc_recipe has them */
} transfer;

/* ITU-T H.273 (07/2021), Table 3: those that are a curve of a display. */
static const transfer known_transfers[] = {
    {4, "gamma 2.2", 22, 10}, {5, "gamma 2.8", 28, 10}, {8, "linear", 1, 1}, {13, "sRGB", 0, 1}};

static bool too_late(const tw_png_reader *png) {
    return png->data_began || png->image->palette_size > 0;
}

/* 11.3.2.1: a four-byte number, the exponent of the encoding times 100 000. */
tw_code tw_png_gamma(tw_png_reader *png, tw_error *error) {
    unsigned char bytes[4];
    if (png->chunk.length != sizeof bytes || too_late(png) || png->colour.has_gamma)
        return TW_OK;
    png->colour.has_gamma = true;
    tw_code code = tw_png_bytes(&png->chunk, bytes, sizeof bytes, error);
    png->colour.gamma = tw_big32(bytes);
    return code;
}

/* 11.3.2.1: x and y of white, red, green, blue, each times 100 000. */
tw_code tw_png_places(tw_png_reader *png, tw_error *error) {
    unsigned char bytes[32];
    if (png->chunk.length != sizeof bytes || too_late(png) || png->colour.has_places)
        return TW_OK;
    png->colour.has_places = true;
    tw_code code = tw_png_bytes(&png->chunk, bytes, sizeof bytes, error);
    for (size_t i = 0; i < 8 && code == TW_OK; i++)
        png->colour.places[i] = tw_big32(bytes + 4 * i);
    return code;
}

tw_code tw_png_srgb(tw_png_reader *png, tw_error *error) {
    (void)error;
    png->colour.has_srgb |= png->chunk.length == 1 && !too_late(png);
    return TW_OK;
}

/* 11.3.2.6: primaries, transfer, matrix, full range. */
tw_code tw_png_code_points(tw_png_reader *png, tw_error *error) {
    if (png->chunk.length != 4 || too_late(png) || png->colour.has_code_points)
        return TW_OK;
    png->colour.has_code_points = true;
    return tw_png_bytes(&png->chunk, png->colour.code_points, 4, error);
}

/* ------------------------------------------------ what is followed */

static bool near(uint32_t a, uint32_t b, uint32_t by) {
    return (a > b ? a - b : b - a) <= by;
}

static bool are_srgb_places(const uint32_t places[8]) {
    for (int i = 0; i < 8; i++)
        if (!near(places[i], srgb_places[i], 1000)) /* 0.01: as many digits as are often written */
            return false;
    return true;
}

static tw_code note(tw_png_reader *png, const char *words, tw_error *error) {
    const char *before = png->image->colour_note;
    png->image->colour_note = before == NULL  ? words
                              : words == NULL ? NULL
                                              : tw_arena_print(png->arena, "%s; %s", before, words);
    return png->image->colour_note == NULL ? tw_no_memory(error) : TW_OK;
}

/* A recipe becomes the image's profile; `from` says of what it was built. */
static tw_code build(tw_png_reader *png, tw_icc_recipe *recipe, const char *from, tw_error *error) {
    tw_buffer made;
    if (recipe->name == NULL || from == NULL)
        return tw_no_memory(error);
    tw_buffer_start(&made, tw_arena_allocator(png->arena));
    recipe->grey = png->image->space == TW_GREY;
    tw_icc_make(recipe, &made);
    tw_code code =
        made.failed ? tw_no_memory(error)
                    : tw_image_set_profile(png->arena, png->image,
                                           (const unsigned char *)made.bytes, made.length, error);
    tw_buffer_free(&made);
    png->image->profile_made = from;
    return code;
}

static const primaries *find_primaries(int code) {
    for (size_t i = 0; i < sizeof known_primaries / sizeof *known_primaries; i++)
        if (known_primaries[i].code == code)
            return &known_primaries[i];
    return NULL;
}

static const transfer *find_transfer(int code) {
    for (size_t i = 0; i < sizeof known_transfers / sizeof *known_transfers; i++)
        if (known_transfers[i].code == code)
            return &known_transfers[i];
    return NULL;
}

/* H.273: transfer 16 is the PQ of BT.2100, 18 its HLG. What they mean above paper white is for a
 * person to decide, not for a curve. */
static tw_code refuse_hdr(const tw_png_reader *png, tw_error *error) {
    int transfer_code = png->colour.code_points[1];
    if (!png->colour.has_code_points || (transfer_code != 16 && transfer_code != 18))
        return TW_OK;
    (void)tw_fail(
        error, TW_INPUT, "image-kind",
        "the PNG is of high dynamic range (its cICP chunk says primaries %d, transfer %d: "
        "%s), brighter than paper can be",
        png->colour.code_points[0], transfer_code, transfer_code == 16 ? "PQ" : "HLG");
    tw_fail_hint(error, "export it for print, in standard range, as sRGB or Display P3");
    return TW_INPUT;
}

/* *followed: the code points are known ones of full-range RGB. */
static tw_code follow_code_points(tw_png_reader *png, bool *followed, tw_error *error) {
    const unsigned char *points = png->colour.code_points;
    const primaries *place = find_primaries(points[0]);
    const transfer *curve = find_transfer(points[1]);
    tw_icc_recipe recipe = {0};
    if (place == NULL || curve == NULL || points[2] != 0 || points[3] != 1)
        return TW_OK;
    *followed = true;
    png->image->profile = NULL;
    png->image->profile_description = png->image->profile_problem = NULL;
    bool grey = png->image->space == TW_GREY;
    png->image->says_srgb = curve->up == 0 && (place->code == 1 || grey);
    if (png->image->says_srgb)
        return TW_OK;
    if (!tw_icc_columns(place->places, recipe.columns))
        return tw_fail(error, TW_BUG, "bug", "a known set of primaries spans no colours");
    recipe.up = curve->up;
    recipe.down = curve->down;
    recipe.name = place->code == 12 && curve->up == 0
                      ? place->name
                      : tw_arena_print(png->arena, "%s, %s", place->name, curve->name);
    const char *from =
        recipe.name == NULL ? NULL : tw_arena_print(png->arena, "its cICP chunk (%s)", recipe.name);
    tw_code code = build(png, &recipe, from, error);
    if (code == TW_OK && png->colour.has_srgb)
        code = note(png, "its cICP and sRGB chunks contradict each other: cICP is followed", error);
    return code;
}

static const char *name_gamma(tw_png_reader *png, const tw_icc_recipe *recipe) {
    bool grey = png->image->space == TW_GREY;
    const char *what = grey                     ? "Grey"
                       : png->colour.has_places ? "Primaries of a PNG"
                                                : "Primaries of sRGB";
    if (recipe->up == 0)
        return tw_arena_print(png->arena, "%s, curve of sRGB", what);
    int64_t exponent = tw_scale(recipe->up, 10000, recipe->down);
    return tw_arena_print(png->arena, "%s, gamma %lld.%04lld", what, (long long)(exponent / 10000),
                          (long long)(exponent % 10000));
}

/* Values that no picture has say nothing: they are passed over, and that is said. */
static tw_code pass_over_nonsense(tw_png_reader *png, tw_icc_recipe *recipe, tw_error *error) {
    tw_png_colour *colour = &png->colour;
    tw_code code = TW_OK;
    if (colour->has_gamma && (colour->gamma < 1000 || colour->gamma > 1000000)) {
        colour->has_gamma = false;
        code = note(png,
                    tw_arena_print(png->arena, "its gAMA chunk says %lu and is passed over",
                                   (unsigned long)colour->gamma),
                    error);
    }
    const uint32_t *places = colour->has_places ? colour->places : srgb_places;
    if (code == TW_OK && !tw_icc_columns(places, recipe->columns)) {
        colour->has_places = !tw_icc_columns(srgb_places, recipe->columns); /* false: they do */
        code = note(png, "its cHRM chunk spans no colours and is passed over", error);
    }
    if (png->image->space == TW_GREY)
        colour->has_places = false; /* a white alone, and white is paper */
    return code;
}

static tw_code follow_gamma(tw_png_reader *png, bool *followed, tw_error *error) {
    tw_png_colour *colour = &png->colour;
    tw_icc_recipe recipe = {.down = 1};
    tw_code code = pass_over_nonsense(png, &recipe, error);
    if (code != TW_OK || (!colour->has_gamma && !colour->has_places))
        return code;
    *followed = true;
    if (colour->has_gamma) {
        recipe.up = 100000;
        recipe.down = colour->gamma;
    }
    recipe.name = name_gamma(png, &recipe);
    bool grey = png->image->space == TW_GREY;
    return build(png, &recipe,
                 !colour->has_gamma   ? "its cHRM chunk, with sRGB's curve"
                 : colour->has_places ? "its gAMA and cHRM chunks"
                 : grey               ? "its gAMA chunk"
                                      : "its gAMA chunk, with sRGB's primaries",
                 error);
}

static tw_code note_beside_srgb(tw_png_reader *png, tw_error *error) {
    const tw_png_colour *colour = &png->colour;
    if (colour->has_gamma && !near(colour->gamma, SRGB_GAMMA, 500))
        return note(png, "its sRGB and gAMA chunks contradict each other: sRGB is followed", error);
    if (colour->has_places && !are_srgb_places(colour->places))
        return note(png, "its sRGB and cHRM chunks contradict each other: sRGB is followed", error);
    return TW_OK;
}

/* iCCP, sRGB, gAMA and cHRM in this order. */
static tw_code follow_chunks(tw_png_reader *png, bool *followed, tw_error *error) {
    *followed = png->image->profile != NULL || png->colour.has_srgb;
    if (png->image->profile != NULL && png->colour.has_srgb)
        return note(png,
                    "it holds a profile and an sRGB chunk, of which only one may be there: "
                    "the profile is followed",
                    error);
    if (png->image->profile != NULL)
        return TW_OK;
    png->image->says_srgb = png->colour.has_srgb;
    return png->colour.has_srgb ? note_beside_srgb(png, error) : follow_gamma(png, followed, error);
}

/* Where nothing could be followed, what was wrong is the image's problem; else only a note. */
static tw_code settle(tw_png_reader *png, const char *problem, bool followed, tw_error *error) {
    if (problem == NULL)
        return TW_OK;
    png->image->profile_problem = followed ? NULL : problem;
    return followed
               ? note(png, tw_arena_print(png->arena, "%s, what else it says is followed", problem),
                      error)
               : TW_OK;
}

tw_code tw_png_colours(tw_png_reader *png, tw_error *error) {
    const tw_png_colour *colour = &png->colour;
    bool followed = false;
    tw_code code = refuse_hdr(png, error);
    if (code == TW_OK && colour->has_code_points)
        code = follow_code_points(png, &followed, error);
    if (code != TW_OK || followed)
        return code;
    const char *problem = png->image->profile_problem;
    if (colour->has_code_points) {
        problem = tw_arena_print(png->arena,
                                 "its cICP chunk names colours (primaries %d, transfer "
                                 "%d) that are not read",
                                 colour->code_points[0], colour->code_points[1]);
        if (problem == NULL)
            return tw_no_memory(error);
    }
    code = follow_chunks(png, &followed, error);
    return code == TW_OK ? settle(png, problem, followed, error) : code;
}

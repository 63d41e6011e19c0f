/*
 * The stages that make a test strip's cells out of a picture's rows: a part of them, and the same
 * in more or less light.
 */
#include <string.h>

#include "base/power.h"
#include "image/source.h"
#include "pixels/stages.h"

/* ------------------------------------------------ a part */

typedef struct crop_rows {
    tw_stage stage; /* its block: a whole row */
    uint32_t x, y;
} crop_rows;

static tw_code next_part(tw_rows *rows, unsigned char *row, tw_error *error) {
    const crop_rows *own = (crop_rows *)rows;
    tw_rows *from = own->stage.from;
    unsigned char *whole = own->stage.block;
    tw_code code = TW_OK;
    if (from->y < own->y)
        code = tw_rows_skip(from, own->y - from->y, whole, error);
    if (code == TW_OK)
        code = tw_rows_next(from, whole, error);
    if (code == TW_OK)
        memcpy(row, whole + own->x * rows->form.pixel_bytes, rows->form.row_bytes);
    return code;
}

/* What lies below is another's to check. */
static tw_code end_part(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

tw_code tw_crop_rows(const tw_allocator *allocator, tw_rows *from, const tw_treat *treat,
                     tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next_part, end_part, tw_stage_close};
    if (treat->crop_x >= from->form.width || treat->crop_y >= from->form.height ||
        treat->crop_width > from->form.width - treat->crop_x ||
        treat->crop_height > from->form.height - treat->crop_y)
        return tw_fail(error, TW_BUG, "bug", "a part is asked for that lies outside its picture");
    tw_stage *stage = NULL;
    tw_code code = tw_stage_new(allocator, from, &kind, sizeof(crop_rows), from->form.row_bytes,
                                &stage, error);
    if (code != TW_OK)
        return code;
    stage->rows.form.width = treat->crop_width;
    stage->rows.form.height = treat->crop_height;
    tw_rows_form_finish(&stage->rows.form);
    ((crop_rows *)stage)->x = treat->crop_x;
    ((crop_rows *)stage)->y = treat->crop_y;
    *out = &stage->rows;
    return TW_OK;
}

/* ------------------------------------------------ more or less light */

typedef struct exposed_rows {
    tw_stage stage; /* its block: by channel, then by code, the new code */
    uint32_t codes;
} exposed_rows;

static tw_code next_exposed(tw_rows *rows, unsigned char *row, tw_error *error) {
    const exposed_rows *own = (exposed_rows *)rows;
    const uint16_t *all = own->stage.block;
    size_t channels = (size_t)rows->form.channels, samples = rows->form.width * channels;
    tw_code code = tw_rows_next(own->stage.from, row, error);
    for (size_t i = 0; code == TW_OK && i < samples; i++) {
        const uint16_t *table = all + (i % channels) * own->codes;
        if (rows->form.bits == 8) {
            row[i] = (unsigned char)table[row[i]];
            continue;
        }
        uint16_t value = table[tw_big16(row + 2 * i)];
        row[2 * i] = (unsigned char)(value >> 8);
        row[2 * i + 1] = (unsigned char)value;
    }
    return code;
}

/* Twice the light a stop: 2 to the power twelfths / 12, with 32 bits behind the point. */
static uint64_t factor_of(int twelfths) {
    bool more = twelfths >= 0;
    uint32_t steps = (uint32_t)(more ? twelfths : -twelfths), whole = steps / 12;
    uint64_t base = more ? TW_POWER_ONE * 2 : TW_POWER_ONE / 2;
    uint64_t part = tw_power(base, steps % 12, 12) >> 28;
    return more ? part << whole : part >> whole;
}

static void fill_table(uint16_t *table, int channels, const tw_tone *tone, int twelfths) {
    uint64_t factor = factor_of(twelfths);
    for (int c = 0; c < channels; c++)
        for (uint32_t v = 0; v <= tone->most; v++) {
            uint64_t light = ((uint64_t)tone->light[c][v] * factor + (UINT64_C(1) << 31)) >> 32;
            *table++ = (uint16_t)tw_tone_code(tone, c, (int64_t)light);
        }
}

tw_code tw_exposed_rows(const tw_allocator *allocator, tw_rows *from, const tw_tone *tone,
                        int twelfths, tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next_exposed, tw_stage_end, tw_stage_close};
    size_t codes = tone->most + 1, entries = (size_t)from->form.channels * codes;
    tw_stage *stage = NULL;
    tw_code code = tw_stage_new(allocator, from, &kind, sizeof(exposed_rows),
                                entries * sizeof(uint16_t), &stage, error);
    if (code != TW_OK)
        return code;
    ((exposed_rows *)stage)->codes = tone->most + 1;
    fill_table(stage->block, from->form.channels, tone, twelfths);
    *out = &stage->rows;
    return TW_OK;
}

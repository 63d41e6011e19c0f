/*
 * The stages that make a test strip's cells out of a picture's rows: a part of them, and the same
 * in more or less light.
 */
#include <string.h>

#include "base/power.h"
#include "intake/source.h"
#include "output/rows.h"

/* ------------------------------------------------ a part */

typedef struct crop_rows {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    uint32_t x, y;
    unsigned char *row;
} crop_rows;

static tw_code next_part(tw_rows *rows, unsigned char *row, tw_error *error) {
    crop_rows *own = (crop_rows *)rows;
    tw_code code = TW_OK;
    if (own->from->y < own->y)
        code = tw_rows_skip(own->from, own->y - own->from->y, own->row, error);
    if (code == TW_OK)
        code = tw_rows_next(own->from, own->row, error);
    if (code == TW_OK)
        memcpy(row, own->row + own->x * rows->form.pixel_bytes, rows->form.row_bytes);
    return code;
}

/* What lies below is another's to check. */
static tw_code end_part(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

static void close_part(tw_rows *rows) {
    crop_rows *own = (crop_rows *)rows;
    tw_rows_close(own->from);
    tw_block_free(own->allocator, own->row);
    tw_block_free(own->allocator, own);
}

tw_code tw_crop_rows(const tw_allocator *allocator, tw_rows *from, const tw_treat *treat,
                     tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next_part, end_part, close_part};
    if (treat->crop_x >= from->form.width || treat->crop_y >= from->form.height ||
        treat->crop_width > from->form.width - treat->crop_x ||
        treat->crop_height > from->form.height - treat->crop_y)
        return tw_fail(error, TW_BUG, "bug", "a part is asked for that lies outside its picture");
    crop_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    *own = (crop_rows){.rows = {.kind = &kind, .form = from->form},
                       .allocator = allocator,
                       .x = treat->crop_x,
                       .y = treat->crop_y,
                       .row = tw_block_new(allocator, from->form.row_bytes)};
    own->rows.form.width = treat->crop_width;
    own->rows.form.height = treat->crop_height;
    tw_rows_form_finish(&own->rows.form);
    if (own->row == NULL) {
        close_part(&own->rows);
        return tw_no_memory(error);
    }
    own->from = from;
    *out = &own->rows;
    return TW_OK;
}

/* ------------------------------------------------ more or less light */

typedef struct exposed_rows {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    uint16_t *table; /* by channel, then by code */
    uint32_t codes;
} exposed_rows;

static tw_code next_exposed(tw_rows *rows, unsigned char *row, tw_error *error) {
    exposed_rows *own = (exposed_rows *)rows;
    size_t channels = (size_t)rows->form.channels, samples = rows->form.width * channels;
    tw_code code = tw_rows_next(own->from, row, error);
    for (size_t i = 0; code == TW_OK && i < samples; i++) {
        const uint16_t *table = own->table + (i % channels) * own->codes;
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

static tw_code end_exposed(tw_rows *rows, tw_error *error) {
    return tw_rows_end(((exposed_rows *)rows)->from, error);
}

static void close_exposed(tw_rows *rows) {
    exposed_rows *own = (exposed_rows *)rows;
    tw_rows_close(own->from);
    tw_block_free(own->allocator, own->table);
    tw_block_free(own->allocator, own);
}

/* Twice the light a stop: 2 to the power twelfths / 12, with 32 bits behind the point. */
static uint64_t factor_of(int twelfths) {
    bool more = twelfths >= 0;
    uint32_t steps = (uint32_t)(more ? twelfths : -twelfths), whole = steps / 12;
    uint64_t base = more ? TW_POWER_ONE * 2 : TW_POWER_ONE / 2;
    uint64_t part = tw_power(base, steps % 12, 12) >> 28;
    return more ? part << whole : part >> whole;
}

static void fill_table(exposed_rows *own, const tw_tone *tone, int twelfths) {
    uint64_t factor = factor_of(twelfths);
    for (int c = 0; c < own->rows.form.channels; c++)
        for (uint32_t v = 0; v < own->codes; v++) {
            uint64_t light = ((uint64_t)tone->light[c][v] * factor + (UINT64_C(1) << 31)) >> 32;
            own->table[(size_t)c * own->codes + v] =
                (uint16_t)tw_tone_code(tone, c, (int64_t)light);
        }
}

tw_code tw_exposed_rows(const tw_allocator *allocator, tw_rows *from, const tw_tone *tone,
                        int twelfths, tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next_exposed, end_exposed, close_exposed};
    exposed_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    uint32_t codes = tone->most + 1;
    size_t entries = (size_t)from->form.channels * codes;
    *own = (exposed_rows){.rows = {.kind = &kind, .form = from->form},
                          .allocator = allocator,
                          .table = tw_block_new(allocator, entries * sizeof(uint16_t)),
                          .codes = codes};
    if (own->table == NULL) {
        close_exposed(&own->rows);
        return tw_no_memory(error);
    }
    fill_table(own, tone, twelfths);
    own->from = from;
    *out = &own->rows;
    return TW_OK;
}

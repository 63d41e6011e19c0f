/*
 * Rows of a JPEG (rows.h) by way of libjpeg, with its usual exact decoding (slow integer DCT,
 * smooth upsampling). It fails by jumping and warns through callbacks; both end here: every call
 * into it is made by `guarded`, and a warning counts as damage, since what it warns of is that
 * pixels were made up.
 *
 * Memory: libjpeg takes its own. Sequential files need a few rows; the coefficients of a whole
 * progressive one must fit into TW_JPEG_MEMORY_MOST.
 */
#include <setjmp.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>

#include <jerror.h>

#include "base/limits.h"
#include "output/image_file.h"
#include "output/rows.h"

/* A scan is a pass over the whole picture; writers make about ten, a hostile file thousands. */
enum { SCANS_MOST = 100 };
/* Bytes given to libjpeg at a time. With 512 and more of them it decodes by a shorter way that
 * takes a code nothing has for a zero and says nothing; damage must not go by. */
enum { BYTES_AT_A_TIME = 480, BYTES_WHEN_SMALL = 64 << 10 };

typedef enum jpeg_action { START, NEXT_ROW, TO_END } jpeg_action;

typedef struct jpeg_rows {
    tw_rows rows;
    tw_image_file file;
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors;
    struct jpeg_source_mgr source;
    struct jpeg_progress_mgr progress;
    jmp_buf back;
    bool made;
    unsigned eighths;            /* of each side that are decoded */
    int last_said;               /* libjpeg's number of its last complaint */
    char words[JMSG_LENGTH_MAX]; /* what it said first */
    tw_code read_code;           /* of a failed read, with read_error */
    tw_error read_error;
} jpeg_rows;

/* ------------------------------------------------ callbacks */

static void keep_words(j_common_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    own->last_said = jpeg->err->msg_code;
    if (own->words[0] == '\0')
        jpeg->err->format_message(jpeg, own->words);
}

static void jump_back(j_common_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    longjmp(own->back, 1);
}

static void on_error(j_common_ptr jpeg) {
    keep_words(jpeg);
    jump_back(jpeg);
}

static void on_message(j_common_ptr jpeg, int level) {
    if (level < 0)
        keep_words(jpeg);
}

static void no_output(j_common_ptr jpeg) {
    (void)jpeg;
}

static void nothing(j_decompress_ptr jpeg) {
    (void)jpeg;
}

static boolean fill(j_decompress_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    size_t most = own->eighths < 8 ? BYTES_WHEN_SMALL : BYTES_AT_A_TIME;
    own->read_code = tw_source_take(&own->file.source, most, &own->source.next_input_byte,
                                    &own->source.bytes_in_buffer, &own->read_error);
    if (own->read_code != TW_OK)
        jump_back((j_common_ptr)jpeg);
    return TRUE;
}

static void skip(j_decompress_ptr jpeg, long count) {
    jpeg_rows *own = jpeg->client_data;
    size_t have = own->source.bytes_in_buffer, wanted = count > 0 ? (size_t)count : 0;
    size_t here = wanted < have ? wanted : have;
    own->source.next_input_byte += here;
    own->source.bytes_in_buffer -= here;
    own->file.source.at += (int64_t)(wanted - here);
}

static void on_progress(j_common_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    if (own->jpeg.input_scan_number <= SCANS_MOST)
        return;
    (void)snprintf(own->words, sizeof own->words, "over %d scans", SCANS_MOST);
    jump_back(jpeg);
}

/* ------------------------------------------------ one call at a time */

/* What the facts say rules over the library's own guess, so that every road shows the same. */
static void set_spaces(jpeg_rows *own) {
    const tw_image *image = own->file.image;
    bool changed = image->colour_transform > 0;
    if (image->space == TW_RGB) {
        own->jpeg.jpeg_color_space = changed ? JCS_YCbCr : JCS_RGB;
        own->jpeg.out_color_space = JCS_RGB;
    } else if (image->space == TW_CMYK) {
        own->jpeg.jpeg_color_space = changed ? JCS_YCCK : JCS_CMYK;
        own->jpeg.out_color_space = JCS_CMYK;
    }
}

static bool is_same(const jpeg_rows *own) {
    const tw_image *image = own->file.image;
    return own->jpeg.image_width == image->width && own->jpeg.image_height == image->height &&
           own->jpeg.num_components == image->jpeg_components;
}

static void start(jpeg_rows *own) {
    jpeg_create_decompress(&own->jpeg);
    own->made = true;
    own->jpeg.client_data = own; /* creating it clears all but the error manager */
    own->jpeg.src = &own->source;
    own->jpeg.progress = &own->progress;
    own->jpeg.mem->max_memory_to_use = TW_JPEG_MEMORY_MOST;
    (void)jpeg_read_header(&own->jpeg, TRUE);
    if (!is_same(own)) {
        own->read_code = tw_fail(&own->read_error, TW_INPUT, "image-changed",
                                 "the file is not the one that was looked at");
        return;
    }
    set_spaces(own);
    own->jpeg.scale_num = own->eighths;
    own->jpeg.scale_denom = 8;
    (void)jpeg_start_decompress(&own->jpeg);
    if (own->jpeg.output_width != own->rows.form.width ||
        own->jpeg.output_height != own->rows.form.height)
        own->read_code = tw_fail(&own->read_error, TW_BUG, "bug", "a JPEG comes in another size");
}

static tw_code say(const jpeg_rows *own, tw_error *error) {
    if (own->read_code != TW_OK) {
        if (error != NULL)
            *error = own->read_error;
        return own->read_code;
    }
    if (own->last_said == JERR_OUT_OF_MEMORY)
        return tw_no_memory(error);
    if (own->last_said == JERR_NO_BACKING_STORE) {
        (void)tw_fail(
            error, TW_INPUT, "image-size",
            "the JPEG is progressive and so large that decoding it takes more than %ld MiB",
            TW_JPEG_MEMORY_MOST >> 20);
        tw_fail_hint(error, "export it again as a baseline JPEG, or as TIFF or PNG");
        return TW_INPUT;
    }
    return tw_fail(error, TW_DAMAGED, "image-damaged", "the JPEG is damaged in row %lu: %s",
                   (unsigned long)own->rows.y, own->words);
}

/* The one place libjpeg jumps back to. No local is changed between setjmp and a jump. */
static tw_code guarded(jpeg_rows *own, jpeg_action action, unsigned char *row, tw_error *error) {
    if (setjmp(own->back) != 0)
        return say(own, error);
    if (action == START)
        start(own);
    else if (action == NEXT_ROW)
        (void)jpeg_read_scanlines(&own->jpeg, &row, 1);
    else
        (void)jpeg_finish_decompress(&own->jpeg);
    return own->words[0] != '\0' || own->read_code != TW_OK ? say(own, error) : TW_OK;
}

/* ------------------------------------------------ rows */

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    jpeg_rows *own = (jpeg_rows *)rows;
    tw_code code = guarded(own, NEXT_ROW, row, error);
    if (code != TW_OK)
        tw_fail_at(error, own->file.image->path, 0, 0);
    else if (own->file.image->inverted_cmyk)
        for (size_t i = 0; i < rows->form.row_bytes; i++)
            row[i] = (unsigned char)(255 - row[i]);
    return code;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    jpeg_rows *own = (jpeg_rows *)rows;
    tw_code code = guarded(own, TO_END, NULL, error);
    if (code != TW_OK)
        tw_fail_at(error, own->file.image->path, 0, 0);
    return code == TW_OK ? tw_image_file_same(&own->file, error) : code;
}

static void close_rows(tw_rows *rows) {
    jpeg_rows *own = (jpeg_rows *)rows;
    const tw_allocator *allocator = own->file.allocator;
    if (own->made)
        jpeg_destroy_decompress(&own->jpeg); /* only frees: it cannot jump */
    tw_image_file_close(&own->file);
    tw_block_free(allocator, own);
}

static void set_callbacks(jpeg_rows *own) {
    own->jpeg.err = jpeg_std_error(&own->errors);
    own->jpeg.client_data = own;
    own->errors.error_exit = on_error;
    own->errors.emit_message = on_message;
    own->errors.output_message = no_output;
    own->source.init_source = nothing;
    own->source.fill_input_buffer = fill;
    own->source.skip_input_data = skip;
    own->source.resync_to_restart = jpeg_resync_to_restart;
    own->source.term_source = nothing;
    own->progress.progress_monitor = on_progress;
}

tw_code tw_rows_jpeg_open(const tw_allocator *allocator, const tw_image *image, unsigned eighths,
                          tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    static const int channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    jpeg_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->rows.kind = &kind;
    own->rows.form =
        (tw_rows_form){.width = (uint32_t)(((uint64_t)image->width * eighths + 7) / 8),
                       .height = (uint32_t)(((uint64_t)image->height * eighths + 7) / 8),
                       .space = image->space,
                       .channels = channels[image->space],
                       .bits = 8};
    tw_rows_form_finish(&own->rows.form);
    own->eighths = eighths;
    set_callbacks(own);
    tw_code code = tw_image_file_open(&own->file, allocator, image, error);
    if (code == TW_OK)
        code = guarded(own, START, NULL, error);
    if (code == TW_OK)
        *out = &own->rows;
    else
        close_rows(&own->rows);
    return code;
}

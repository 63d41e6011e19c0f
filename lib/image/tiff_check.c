/*
 * What a TIFF must be to be printed (tiff_facts.h): kinds that are refused by name with the remedy,
 * and data that is not in the file.
 */
#include "image/tiff_facts.h"

#include <stdio.h>

#include "base/limits.h"

static tw_code refuse(tw_error *error, const char *words, const char *remedy) {
    (void)tw_fail(error, TW_INPUT, "image-kind", "the TIFF %s", words);
    tw_fail_hint(error, "%s", remedy);
    return TW_INPUT;
}

static const char usual[] = "export it as TIFF with 8 or 16 bits a channel, in RGB, grey or CMYK, "
                            "or as PNG";

/* TIFF 6.0, DNG 1.4 and from memory. */
static const struct {
    unsigned value;
    const char *words;
} photometrics[] =
    {
        {4, "holds a mask and no picture"},
        {8, "is in Lab colour"},
        {9, "is in Lab colour (ICC)"},
        {10, "is in Lab colour (ITU)"},
        {32844, "holds light values (LogL), not colours"},
        {32845, "holds light values (LogLuv), not colours"},
},
  compressions[] = {
      {2, "is a fax picture (CCITT)"},
      {3, "is a fax picture (CCITT group 3)"},
      {4, "is a fax picture (CCITT group 4)"},
      {6, "is packed by the old JPEG method that was withdrawn"},
      {34887, "is packed by LERC"},
      {34925, "is packed by LZMA"},
      {34712, "is packed by JPEG 2000"},
      {50000, "is packed by Zstandard"},
      {50001, "is packed by WebP"},
      {50002, "is packed by JPEG XL"},
};

static tw_code check_raw(tw_tiff_reader *tiff, tw_error *error) {
    unsigned photometric = tiff->image->tiff.photometric;
    tw_tiff_list dng, inside;
    uint64_t subfile = 0;
    tw_code code = tw_tiff_find(tiff, TW_TAG_DNG, &dng, error);
    if (code == TW_OK)
        code = tw_tiff_find(tiff, TW_TAG_SUBIFDS, &inside, error);
    if (code == TW_OK)
        code = tw_tiff_number(tiff, TW_TAG_SUBFILE, 0, &subfile, error);
    if (code != TW_OK)
        return code;
    static const char remedy[] = "develop it in your raw program and export a TIFF or PNG";
    if (dng.count > 0)
        return refuse(error, "is a camera raw file (DNG)", remedy);
    /* what raw files hold first is a small version of a picture that lies deeper in the file */
    if (photometric == 32803 || photometric == 34892 || (inside.count > 0 && (subfile & 1) != 0))
        return refuse(error, "is a camera raw file", remedy);
    return TW_OK;
}

static tw_code check_samples(tw_tiff_reader *reader, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    char words[100];
    uint64_t format = 1, fill = 1, inks = 1;
    tw_code code = tw_tiff_number(reader, TW_TAG_SAMPLE_FORMAT, 1, &format, error);
    if (code == TW_OK)
        code = tw_tiff_number(reader, TW_TAG_FILL_ORDER, 1, &fill, error);
    if (code == TW_OK)
        code = tw_tiff_number(reader, TW_TAG_INK_SET, 1, &inks, error);
    if (code != TW_OK)
        return code;
    if (format == 3)
        return refuse(error, "holds floating point numbers", usual);
    if (format != 1 && format != 4)
        return refuse(error, "holds signed or complex numbers", usual);
    if (fill != 1)
        return refuse(error, "has its bits in reverse order (fill order 2)", usual);
    if (tiff->photometric == 5 && inks != 1)
        return refuse(error, "has inks other than cyan, magenta, yellow and black", usual);
    bool few = reader->image->depth < 8 && (tiff->samples > 1 || tiff->predictor == 2);
    bool odd =
        reader->image->depth > 16 || (reader->image->depth & (reader->image->depth - 1)) != 0;
    if (!few && !odd)
        return TW_OK;
    (void)snprintf(words, sizeof words, "has %d bits a channel", reader->image->depth);
    return refuse(error, words, usual);
}

/* Names what is known, numbers the rest. */
tw_code tw_tiff_check_kind(tw_tiff_reader *reader, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    char words[100];
    tw_code code = check_raw(reader, error);
    if (code != TW_OK)
        return code;
    for (size_t i = 0; i < sizeof photometrics / sizeof *photometrics; i++)
        if (photometrics[i].value == tiff->photometric)
            return refuse(error, photometrics[i].words, usual);
    if (tiff->photometric > 6) {
        (void)snprintf(words, sizeof words, "is of colour kind %u, which is not known",
                       tiff->photometric);
        return refuse(error, words, usual);
    }
    static const char repack[] = "save it with LZW, ZIP or no compression";
    for (size_t i = 0; i < sizeof compressions / sizeof *compressions; i++)
        if (compressions[i].value == tiff->compression)
            return refuse(error, compressions[i].words, repack);
    bool known = tiff->compression == 1 || tiff->compression == TW_TIFF_LZW ||
                 tiff->compression == TW_TIFF_JPEG || tiff->compression == TW_TIFF_PACKBITS ||
                 tw_tiff_is_deflate(tiff);
    if (!known) {
        (void)snprintf(words, sizeof words, "is packed by method %u, which is not known",
                       tiff->compression);
        return refuse(error, words, repack);
    }
    if (tiff->photometric == 6 && tiff->compression != TW_TIFF_JPEG)
        return refuse(error, "is in YCbCr colour without being packed as JPEG", usual);
    if (tiff->predictor == 3)
        return refuse(error, "is packed with the floating point predictor", usual);
    return check_samples(reader, error);
}

/* ------------------------------------------------ strips and tiles */

static uint64_t share(uint64_t whole, uint64_t part) {
    return (whole + part - 1) / part;
}

static tw_code check_block(tw_tiff_reader *reader, uint64_t index, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    const char *what = tiff->tiled ? "tile" : "strip";
    uint64_t at = 0, bytes = 0, file = (uint64_t)reader->source.size;
    tw_code code = tw_tiff_value(&reader->source, tiff, &tiff->blocks, index, &at, error);
    if (code == TW_OK)
        code = tw_tiff_value(&reader->source, tiff, &tiff->block_bytes, index, &bytes, error);
    if (code != TW_OK)
        return code;
    if (at > file || bytes > file - at || bytes == 0)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "%s %llu of the TIFF should be %llu bytes at byte %llu, and the file is "
                       "%llu bytes long",
                       what, (unsigned long long)index, (unsigned long long)bytes,
                       (unsigned long long)at, (unsigned long long)file);
    bool straight_on = !tiff->tiled && (tiff->compression == 1 || tw_tiff_is_deflate(tiff));
    if (bytes <= TW_TIFF_BLOCK_MOST || straight_on)
        return TW_OK;
    (void)tw_fail(error, TW_INPUT, "image-size",
                  "%s %llu of the TIFF is %llu bytes long, at most %u are taken in one", what,
                  (unsigned long long)index, (unsigned long long)bytes, TW_TIFF_BLOCK_MOST);
    tw_fail_hint(error, "save it again in smaller strips, or without compression");
    return TW_INPUT;
}

/* Tiles lie side by side in memory once decoded. */
static tw_code check_band(const tw_tiff_reader *reader, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    uint64_t across = share(reader->image->width, tiff->block_width) * tiff->block_width;
    uint64_t bytes = across * tiff->block_height * (uint64_t)tiff->samples *
                     (uint64_t)(reader->image->depth + 7) / 8;
    if (!tiff->tiled || bytes <= TW_TIFF_BLOCK_MOST)
        return TW_OK;
    (void)tw_fail(error, TW_INPUT, "image-size",
                  "a row of the TIFF's tiles is %llu bytes, at most %u are taken",
                  (unsigned long long)bytes, TW_TIFF_BLOCK_MOST);
    tw_fail_hint(error, "save it again in strips, or with tiles of 256 x 256 pixels");
    return TW_INPUT;
}

tw_code tw_tiff_check_data(tw_tiff_reader *reader, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    uint64_t wanted = share(reader->image->width, tiff->block_width) *
                      share(reader->image->height, tiff->block_height) *
                      (uint64_t)(tiff->separate ? tiff->samples : 1);
    if (tiff->blocks.count < wanted || tiff->block_bytes.count < wanted)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the TIFF has %llu %ss, and %llu are needed",
                       (unsigned long long)(tiff->blocks.count < tiff->block_bytes.count
                                                ? tiff->blocks.count
                                                : tiff->block_bytes.count),
                       tiff->tiled ? "tile" : "strip", (unsigned long long)wanted);
    tw_code code = check_band(reader, error);
    for (uint64_t i = 0; code == TW_OK && i < wanted; i++) {
        code = check_block(reader, i, error);
        if (code == TW_DAMAGED)
            code = tw_image_keep_damage(reader->arena, reader->image, error);
    }
    return code;
}

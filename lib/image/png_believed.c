/*
 * How much of a damaged PNG may be believed (png_decode.h). Every chunk has a check sum (PNG, W3C,
 * 5.3), so what lies before the first that does not hold is as it was written. The chunk itself is
 * left out whole: where in it the fault lies cannot be told.
 */
#include <string.h>

#include "image/png_chunk.h"
#include "image/png_decode.h"

/* Does the file end as a whole one does? Then a chunk that reaches past the end is not cut, its
 * length is wrong. */
static bool has_end(tw_source source) {
    static const unsigned char end[8] = {0, 0, 0, 0, 'I', 'E', 'N', 'D'};
    unsigned char bytes[8];
    tw_error ignored;
    source.at = source.size - 12;
    return source.at > 0 && tw_source_read(&source, bytes, sizeof bytes, &ignored) == TW_OK &&
           memcmp(bytes, end, sizeof end) == 0;
}

tw_code tw_png_believed(tw_source source, int64_t *bytes, tw_error *error) {
    tw_png_chunk chunk = {.source = source};
    tw_error why = {.code = TW_OK};
    bool data = false, ended = false;
    tw_code code = tw_png_signature(&chunk, &why);
    while (code == TW_OK && !ended) {
        code = tw_png_open_chunk(&chunk, &why);
        bool cut = code == TW_DAMAGED && memcmp(chunk.type, "IDAT", 4) == 0 &&
                   chunk.source.at > chunk.at && !has_end(chunk.source);
        if (cut) {
            *bytes = source.size;
            return TW_OK;
        }
        if (code == TW_OK)
            code = tw_png_close_chunk(&chunk, &why);
        data |= code == TW_OK && strcmp(chunk.type, "IDAT") == 0;
        ended = code == TW_OK && strcmp(chunk.type, "IEND") == 0;
    }
    *bytes = ended ? source.size : chunk.at;
    if (code == TW_OK || (code == TW_DAMAGED && data))
        return TW_OK;
    return tw_fail(error, code, why.name, "%s", why.message);
}

/*
 * The words this layer's messages share: sizes, sides, and where a line was written.
 */
#include "prints/making.h"

#include <stdio.h>

char *tw_size_both(tw_size size, char out[TW_SIZE_TEXT]) {
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT];
    snprintf(out, TW_SIZE_TEXT, "%s x %s", tw_length_both(size.width, width),
             tw_length_both(size.height, height));
    return out;
}

const char *tw_side_name(int side) {
    static const char *const names[] = {"top", "right", "bottom", "left"};
    return names[side & 3];
}

void tw_line_place(const tw_order *line, tw_error *message) {
    tw_fail_at(message, line->place.file, line->place.line, line->place.column);
    tw_fail_pointer(message, line->place.pointer);
}

/* What is printed of a damaged image, in words for messages, plan and guide. */
#include "image/image.h"

#include <stdio.h>

int tw_damage_share(const tw_image *image) {
    uint64_t height = image->height;
    return (int)((2000 * (uint64_t)image->damage.white_rows + height) / (2 * height));
}

static int add_white(const tw_image *image, char *out, size_t room) {
    const tw_damage *damage = &image->damage;
    int share = tw_damage_share(image);
    unsigned long last = image->height - 1;
    if (damage->white_count == 0)
        return snprintf(out, room, "no row is white");
    if (damage->white_count == 1)
        return snprintf(out, room, "rows %lu to %lu of 0 to %lu are white (%d.%d %%)",
                        (unsigned long)damage->white[0].from,
                        (unsigned long)damage->white[0].to - 1, last, share / 10, share % 10);
    return snprintf(out, room, "%lu of %lu rows, in %zu places, are white (%d.%d %%)",
                    (unsigned long)damage->white_rows, last + 1, damage->white_count, share / 10,
                    share % 10);
}

char *tw_damage_text(const tw_image *image, char out[TW_DAMAGE_TEXT]) {
    const tw_damage *damage = &image->damage;
    const char *what = damage->white_count > 0 ? "the others are" : "its picture is";
    int passes = damage->passes, length = 0;
    if (damage->white_count > 0 || passes == 0)
        length = add_white(image, out, TW_DAMAGE_TEXT);
    size_t room = TW_DAMAGE_TEXT - (size_t)length;
    if (passes > 0 && image->format == TW_JPEG)
        (void)snprintf(out + length, room, "%s%s made of its first %d scan%s and coarser",
                       length > 0 ? ", " : "", what, passes, passes == 1 ? "" : "s");
    else if (passes > 0)
        (void)snprintf(out + length, room, "%s%s made of %d of its 7 passes and coarser",
                       length > 0 ? ", " : "", what, passes);
    return out;
}

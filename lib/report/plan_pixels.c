/* Pixels that are changed on their way to paper, said on the plan (see plan_pixels.h). */
#include "report/plan_pixels.h"

#include "report/plan_words.h"

static bool is_clear(const tw_image *image) {
    return image->alpha || image->transparent_key;
}

static bool is_changed(const tw_image *image) {
    bool damaged = image->damage.words != NULL;
    return damaged || is_clear(image) || image->treat.width > 0 || image->treat.amount > 0;
}

/* As printed, seen upright. */
static void printed_size(const tw_image *image, uint32_t *wide, uint32_t *high) {
    bool made = image->treat.width > 0, swapped = image->orientation >= 5;
    *wide = !made ? image->upright_width : swapped ? image->treat.height : image->treat.width;
    *high = !made ? image->upright_height : swapped ? image->treat.width : image->treat.height;
}

static const char *verb(const tw_image *image) {
    uint32_t wide, high;
    printed_size(image, &wide, &high);
    if (wide >= image->upright_width && high >= image->upright_height)
        return "enlarged";
    return wide <= image->upright_width && high <= image->upright_height ? "reduced" : "resampled";
}

static void add_sharpening(tw_buffer *out, const tw_sharpen *sharpen) {
    char radius[TW_LENGTH_TEXT], amount[TW_LENGTH_TEXT];
    tw_buffer_print(out, "sharpened: radius %s mm, amount %s, threshold %d",
                    tw_mm_exact(sharpen->radius, radius),
                    tw_decimal_text(sharpen->amount, 3, true, amount, sizeof amount),
                    sharpen->threshold);
}

static void add_changes(tw_buffer *out, const tw_print *print) {
    const tw_image *image = print->image;
    const char *light = image->space == TW_CMYK ? "" : " in linear light";
    const char *between = "";
    uint32_t wide, high;
    printed_size(image, &wide, &high);
    if (image->damage.words != NULL) {
        char text[TW_DAMAGE_TEXT];
        tw_buffer_print(out, "damaged: %s", tw_damage_text(image, text));
        between = ";\n    ";
    }
    if (is_clear(image)) {
        tw_buffer_print(out, "%spartly transparent, laid on paper%s", between,
                        image->space == TW_CMYK ? " without ink" : " white in linear light");
        between = ";\n    ";
    }
    if (image->treat.width > 0) {
        tw_buffer_print(out, "%s%s from %lu x %lu to %lu x %lu pixels%s", between, verb(image),
                        (unsigned long)image->upright_width, (unsigned long)image->upright_height,
                        (unsigned long)wide, (unsigned long)high, light);
        between = ";\n    ";
    }
    if (image->treat.amount > 0) {
        tw_buffer_string(out, between);
        add_sharpening(out, &print->sharpen);
    }
}

/* Prints on the sheets that use this image; the first of them is *first. */
static size_t count_prints(const tw_plan_data *plan, size_t image, const tw_print **first) {
    size_t count = 0;
    for (size_t s = 0; s < plan->sheet_count; s++)
        for (size_t i = 0; i < plan->sheets[s].print_count; i++) {
            const tw_print *print = plan->sheets[s].prints[i].print;
            if (print->image_index != image)
                continue;
            *first = count++ == 0 ? print : *first;
        }
    return count;
}

void tw_plan_pixels_text(const tw_plan_data *plan, tw_buffer *out) {
    bool began = false;
    for (size_t i = 0; i < plan->prints->image_count; i++) {
        const tw_print *print = NULL;
        size_t count = is_changed(&plan->prints->images[i]) ? count_prints(plan, i, &print) : 0;
        if (count == 0)
            continue;
        if (!began)
            tw_buffer_string(out, "pixels made for the paper (no file is changed)\n");
        began = true;
        tw_buffer_string(out, "  ");
        (void)tw_buffer_name(out, print->line->image);
        tw_buffer_string(out, " for ");
        (void)tw_buffer_name(out, print->id);
        if (count > 1)
            tw_buffer_print(out, " and %zu more", count - 1);
        tw_buffer_string(out, ":\n    ");
        add_changes(out, print);
        tw_buffer_string(out, "\n");
    }
    if (began)
        tw_buffer_string(out, "\n");
}

void tw_plan_damage_json(const tw_image *image, tw_buffer *out) {
    const tw_damage *damage = &image->damage;
    char text[TW_LENGTH_TEXT];
    tw_buffer_string(out, ", \"damaged\": ");
    if (damage->words == NULL) {
        tw_buffer_string(out, "null");
        return;
    }
    tw_buffer_string(out, "{\"why\": ");
    tw_buffer_json_string(out, damage->words);
    tw_buffer_string(out, ", \"white_rows\": [");
    for (size_t i = 0; i < damage->white_count; i++)
        tw_buffer_print(out, "%s[%lu, %lu]", i == 0 ? "" : ", ",
                        (unsigned long)damage->white[i].from,
                        (unsigned long)damage->white[i].to - 1);
    tw_buffer_print(out, "], \"white_share\": %s, \"passes\": ",
                    tw_decimal_text(tw_damage_share(image), 3, true, text, sizeof text));
    if (damage->passes > 0)
        tw_buffer_print(out, "%d}", damage->passes);
    else
        tw_buffer_string(out, "null}");
}

void tw_plan_pixels_json(const tw_print *print, tw_buffer *out) {
    const tw_image *image = print->image;
    char radius[TW_LENGTH_TEXT], amount[TW_LENGTH_TEXT];
    uint32_t wide, high;
    printed_size(image, &wide, &high);
    tw_buffer_print(out, ", \"pixels\": {\"width\": %lu, \"height\": %lu, \"resampled\": %s, ",
                    (unsigned long)wide, (unsigned long)high,
                    image->treat.width > 0 ? "true" : "false");
    tw_buffer_print(out,
                    "\"on_paper_white\": %s, \"sharpened\": ", is_clear(image) ? "true" : "false");
    if (image->treat.amount == 0)
        tw_buffer_string(out, "null");
    else
        tw_buffer_print(out, "{\"radius\": %s, \"amount\": %s, \"threshold\": %d}",
                        tw_mm_exact(print->sharpen.radius, radius),
                        tw_decimal_text(print->sharpen.amount, 3, true, amount, sizeof amount),
                        print->sharpen.threshold);
    tw_plan_damage_json(image, out);
    tw_buffer_string(out, "}");
}

/*
 * A page's ops as PDF operators. The display list's y runs down from the top, PDF's up from the
 * bottom; every number is turned in nanometres first and written as an exact decimal of points
 * (ISO 32000-1, Annex C: about five decimals), so nothing is rounded twice.
 */
#include "pdf/document.h"

#include "base/face.h"

typedef struct pen {
    tw_pdf *pdf;
    HPDF_Page page;
    tw_nm height; /* of the page */
    tw_buffer *out;
} pen;

static void number(pen *p, tw_nm value) {
    char text[TW_LENGTH_TEXT];
    tw_buffer_string(p->out, tw_points(value, text));
    tw_buffer_string(p->out, " ");
}

static void point(pen *p, tw_nm x, tw_nm y) {
    number(p, x);
    number(p, p->height - y);
}

/* Thousandths as "0.8"; 0 and 1000 as whole numbers. */
static void grey(pen *p, int thousandths, const char *operator) {
    if (thousandths % 1000 == 0)
        tw_buffer_print(p->out, "%d %s ", thousandths / 1000, operator);
    else
        tw_buffer_print(p->out, "0.%03d %s ", thousandths, operator);
}

static void rectangle(pen *p, tw_rect r) {
    point(p, r.x, r.y + r.height);
    number(p, r.width);
    number(p, r.height);
    tw_buffer_string(p->out, "re ");
}

static void stroke_style(pen *p, const tw_op *op) {
    number(p, op->weight);
    tw_buffer_string(p->out, "w ");
    grey(p, op->grey, "G");
    if (op->dashed) {
        tw_buffer_string(p->out, "[");
        number(p, TW_MM);
        number(p, TW_MM * 7 / 10);
        tw_buffer_string(p->out, "] 0 d ");
    }
}

static void draw_line(pen *p, const tw_op *op) {
    if (op->weight <= 0)
        return;
    tw_buffer_string(p->out, "q ");
    stroke_style(p, op);
    point(p, op->x0, op->y0);
    tw_buffer_string(p->out, "m ");
    point(p, op->x1, op->y1);
    tw_buffer_string(p->out, "l S Q\n");
}

static void draw_box(pen *p, const tw_op *op) {
    bool stroked = op->weight > 0, filled = op->fill >= 0;
    if (!stroked && !filled)
        return;
    tw_buffer_string(p->out, "q ");
    if (stroked)
        stroke_style(p, op);
    if (filled)
        grey(p, op->fill, "g");
    rectangle(p, op->rect);
    tw_buffer_string(p->out, stroked && filled ? "B Q\n" : stroked ? "S Q\n" : "f Q\n");
}

/* A fraction of the image's height or width, as start + along u + along v of the unit square,
 * u to the right, v up, in which PDF paints the stored image with its first row on top. */
typedef struct axis {
    int start, u, v;
} axis;

/* Exif orientations 1 to 8 (CIPA DC-008, tag 274): where a stored sample is seen, from the left
 * and from the top. Stored column s = u, stored row t = 1 - v. */
static void seen(int orientation, axis *across, axis *down) {
    static const axis s = {0, 1, 0}, t = {1, 0, -1}, not_s = {1, -1, 0}, not_t = {0, 0, 1};
    static const struct {
        const axis *across, *down;
    } table[] = {{&s, &t}, {&not_s, &t}, {&not_s, &not_t}, {&s, &not_t},
                 {&t, &s}, {&not_t, &s}, {&not_t, &not_s}, {&t, &not_s}};
    int row = orientation >= 1 && orientation <= 8 ? orientation - 1 : 0;
    *across = *table[row].across;
    *down = *table[row].down;
}

static void matrix(pen *p, const tw_op *op) {
    axis across, down;
    seen(op->orientation, &across, &down);
    if (op->turned) { /* a quarter clockwise: the top becomes the right side */
        axis was = across;
        across = (axis){1 - down.start, -down.u, -down.v};
        down = was;
    }
    tw_rect r = op->whole;
    number(p, across.u * r.width);
    number(p, -down.u * r.height);
    number(p, across.v * r.width);
    number(p, -down.v * r.height);
    point(p, r.x + across.start * r.width, r.y + down.start * r.height);
    tw_buffer_string(p->out, "cm ");
}

static bool same(tw_rect a, tw_rect b) {
    return a.x == b.x && a.y == b.y && a.width == b.width && a.height == b.height;
}

static tw_code draw_image(pen *p, const tw_op *op) {
    tw_error failure = {.code = TW_OK};
    if (op->image >= p->pdf->facts.image_count) {
        (void)tw_fail(&failure, TW_BUG, "pdf-writer", "a page draws image %zu of %zu", op->image,
                      p->pdf->facts.image_count);
        return tw_pdf_keep(p->pdf, &failure);
    }
    HPDF_Dict image = tw_pdf_image(p->pdf, op->image, op->intent);
    const char *name = image == NULL ? NULL : HPDF_Page_GetXObjectName(p->page, image);
    if (name == NULL)
        return tw_pdf_state(p->pdf);
    tw_buffer_string(p->out, "q ");
    if (!same(op->rect, op->whole)) {
        rectangle(p, op->rect);
        tw_buffer_string(p->out, "W n ");
    }
    matrix(p, op);
    tw_buffer_print(p->out, "/%s Do Q\n", name);
    return TW_OK;
}

static tw_code draw_text(pen *p, const tw_op *op) {
    /* cosine and sine of the quarter turns clockwise, seen with y up */
    static const int cosine[4] = {1, 0, -1, 0}, sine[4] = {0, -1, 0, 1};
    int c = cosine[op->quarter & 3], s = sine[op->quarter & 3];
    const char *name =
        tw_pdf_valid(p->pdf, op->text) == TW_OK ? tw_pdf_font_name(p->pdf, p->page) : NULL;
    if (name == NULL)
        return tw_pdf_state(p->pdf);
    tw_nm back = op->align == TW_ALIGN_LEFT ? 0 : tw_face_width(op->text, op->size);
    if (op->align == TW_ALIGN_CENTRE)
        back /= 2;
    tw_buffer_string(p->out, "q ");
    grey(p, op->grey, "g");
    if (op->bold) {
        number(p, op->size / 30);
        tw_buffer_string(p->out, "w ");
        grey(p, op->grey, "G");
    }
    tw_buffer_print(p->out, "BT /%s ", name);
    number(p, op->size);
    tw_buffer_print(p->out, "Tf %s%d %d %d %d ", op->bold ? "2 Tr " : "", c, s, -s, c);
    point(p, op->x0 - c * back, op->y0 + s * back);
    tw_buffer_string(p->out, "Tm <");
    tw_pdf_encode(p->pdf, op->text, p->out);
    tw_buffer_string(p->out, "> Tj ET Q\n");
    return p->pdf->failure.code;
}

static tw_code draw(pen *p, const tw_op *op) {
    switch (op->kind) {
    case TW_OP_IMAGE:
        return draw_image(p, op);
    case TW_OP_LINE:
        draw_line(p, op);
        return TW_OK;
    case TW_OP_BOX:
        draw_box(p, op);
        return TW_OK;
    case TW_OP_TEXT:
        return op->text == NULL || op->text[0] == '\0' ? TW_OK : draw_text(p, op);
    }
    return TW_OK;
}

tw_code tw_pdf_content(tw_pdf *pdf, HPDF_Page page, const tw_page *from, tw_buffer *out) {
    pen p = {pdf, page, from->size.height, out};
    for (size_t i = 0; i < from->count; i++) {
        tw_code code = draw(&p, &from->ops[i]);
        if (code != TW_OK)
            return code;
    }
    return out->failed ? tw_pdf_no_memory(pdf) : TW_OK;
}

/*
 * Images: one object each a document, however often it is drawn. Nothing is opened until the
 * object is written; then its pixels are pulled and closed before the next one's turn, so that
 * one file at most is open.
 */
#include "pdf/document.h"
#include "settle/colour_day.h"

#include <string.h>

static void mix_image(tw_pdf *pdf, const tw_image *image) {
    const char *name = image->name == NULL ? "" : image->name;
    tw_pdf_mix(pdf, name, strlen(name) + 1);
    tw_pdf_mix_number(pdf, image->width);
    tw_pdf_mix_number(pdf, image->height);
    tw_pdf_mix_number(pdf, image->depth);
    tw_pdf_mix_number(pdf, image->bytes);
    tw_pdf_mix_number(pdf, image->treat.width);
    tw_pdf_mix_number(pdf, image->treat.height);
    tw_pdf_mix_number(pdf, image->treat.radius_x);
    tw_pdf_mix_number(pdf, image->treat.radius_y);
    tw_pdf_mix_number(pdf, image->treat.amount);
    tw_pdf_mix_number(pdf, image->treat.threshold);
    tw_pdf_mix_number(pdf, image->damage.white_rows);
    if (image->treat.crop_width > 0) {
        tw_pdf_mix_number(pdf, image->treat.crop_x);
        tw_pdf_mix_number(pdf, image->treat.crop_y);
        tw_pdf_mix_number(pdf, image->treat.crop_width);
        tw_pdf_mix_number(pdf, image->treat.crop_height);
        tw_pdf_mix_number(pdf, image->treat.exposure);
    }
}

static bool converts(const tw_pdf *pdf, const tw_image *image, int intent) {
    const tw_paper *paper = pdf->facts.colour.paper;
    return paper != NULL && paper->converts && intent != TW_INTENT_UNSET && image->source != NULL;
}

/* Its way to the paper, or the profile that says what its own colours mean. */
static tw_code settle_colour(tw_pdf *pdf, const tw_image *image, int intent, HPDF_Dict *profile) {
    if (!converts(pdf, image, intent))
        return tw_pdf_profile_for(pdf, image, profile);
    tw_pdf_mix_number(pdf, intent);
    return tw_pdf_paper_profile(pdf, profile);
}

HPDF_Dict tw_pdf_image(tw_pdf *pdf, size_t index, int intent) {
    HPDF_Dict profile = NULL;
    tw_pdf_stream **slot = &pdf->images[index * TW_PDF_INTENTS + (size_t)intent];
    if (*slot != NULL)
        return (*slot)->dict;
    const tw_image *image = &pdf->facts.images[index];
    if (settle_colour(pdf, image, intent, &profile) != TW_OK)
        return NULL;
    tw_pdf_stream *stream = tw_pdf_stream_new(pdf, NULL);
    if (stream == NULL)
        return NULL;
    stream->image = image;
    stream->profile = profile;
    stream->converts = converts(pdf, image, intent);
    if (stream->converts)
        stream->way = tw_colour_way_of(pdf->facts.colour.job, pdf->facts.colour.paper, image,
                                       (tw_intent)intent);
    stream->dict->header.obj_class |= HPDF_OSUBCLASS_XOBJECT;
    *slot = stream;
    mix_image(pdf, image);
    return stream->dict;
}

static const char *device_space(int channels) {
    return channels == 1 ? "/DeviceGray" : channels == 3 ? "/DeviceRGB" : "/DeviceCMYK";
}

static void put_space(const tw_pdf_stream *stream, const tw_pixels_form *form, tw_buffer *out) {
    int channels = form->palette_size > 0 ? 3 : form->channels;
    tw_buffer_string(out, "/ColorSpace ");
    if (form->palette_size > 0)
        tw_buffer_string(out, "[/Indexed ");
    if (stream->profile != NULL)
        tw_buffer_print(out, "[/ICCBased %u 0 R]", tw_pdf_number(stream->profile));
    else
        tw_buffer_string(out, device_space(channels));
    if (form->palette_size > 0) {
        tw_buffer_print(out, " %d <", form->palette_size - 1);
        for (int i = 0; i < 3 * form->palette_size; i++)
            tw_buffer_print(out, "%02X", form->palette[i]);
        tw_buffer_string(out, ">]");
    }
    tw_buffer_string(out, "\n");
}

/* Predictor 15: each row says its own PNG filter; 2: differences along the row, as TIFF has them
 * (ISO 32000-1, Table 10). What an
 * Adobe segment or the lack of one means for the colours is said again (Table 13). */
static void put_filter(const tw_pixels_form *form, tw_buffer *out) {
    if (form->dct && form->colour_transform >= 0)
        tw_buffer_print(out, "/Filter /DCTDecode\n/DecodeParms <</ColorTransform %d>>\n",
                        form->colour_transform);
    else if (form->dct)
        tw_buffer_string(out, "/Filter /DCTDecode\n");
    else
        tw_buffer_print(out,
                        "/Filter /FlateDecode\n/DecodeParms <</Predictor %d /Colors %d "
                        "/BitsPerComponent %d /Columns %u>>\n",
                        form->predictor, form->channels, form->bits, (unsigned)form->width);
    if (form->invert) {
        tw_buffer_string(out, "/Decode [1 0");
        for (int i = 1; i < form->channels; i++)
            tw_buffer_string(out, " 1 0");
        tw_buffer_string(out, "]\n");
    }
}

static void put_entries(const tw_pdf_stream *stream, const tw_pixels_form *form, tw_buffer *out) {
    tw_buffer_print(out, "/Type /XObject\n/Subtype /Image\n/Width %u\n/Height %u\n",
                    (unsigned)form->width, (unsigned)form->height);
    tw_buffer_print(out, "/BitsPerComponent %d\n", form->bits);
    put_space(stream, form, out);
    put_filter(form, out);
}

tw_code tw_pdf_image_entries(tw_pdf_stream *stream, HPDF_Stream out) {
    tw_pdf *pdf = stream->pdf;
    tw_pixels_form form;
    tw_error failure;
    tw_buffer text;
    memset(&failure, 0, sizeof failure);
    memset(&form, 0, sizeof form);
    tw_code code = tw_pixels_open_converted(pdf->allocator, stream->image,
                                            stream->converts ? &stream->way : NULL, pdf->facts.kept,
                                            &stream->pixels, &form, &failure);
    if (code != TW_OK)
        return tw_pdf_keep(pdf, &failure);
    tw_buffer_start(&text, pdf->allocator);
    put_entries(stream, &form, &text);
    if (text.failed)
        code = tw_pdf_no_memory(pdf);
    else if (HPDF_Stream_WriteStr(out, text.bytes) != HPDF_OK)
        code = tw_pdf_state(pdf);
    tw_buffer_free(&text);
    return code;
}

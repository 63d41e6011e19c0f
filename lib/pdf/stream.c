/*
 * How the PDF's bytes leave: stream objects that pull their bytes when they are written, and the
 * file. Nothing here holds an image: bytes go from its file to ours in pieces of TW_PDF_BUFFER.
 *
 * libharu asks a stream for 4 KiB at a time. Our reader answers the first request by moving the
 * whole stream to the output itself, in large pieces, and then says "end": libharu takes the
 * stream's length from the output's size afterwards, so its bookkeeping stays right.
 */
#include "pdf/document.h"

#include "base/limits.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

/* ------------------------------------------------ the file */

static tw_code io_failure(tw_pdf *pdf, const char *doing, int number) {
    tw_error failure;
    memset(&failure, 0, sizeof failure);
    (void)tw_fail(&failure, TW_IO, "not-writable", "%s: %s", doing, strerror(number));
    tw_fail_at(&failure, pdf->path, 0, 0);
    if (number == ENOSPC || number == EDQUOT)
        tw_fail_hint(&failure, "make room on the disk, or write elsewhere");
    return tw_pdf_keep(pdf, &failure);
}

tw_code tw_pdf_open(tw_pdf *pdf, tw_error *error) {
    pdf->descriptor = open(pdf->path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (pdf->descriptor < 0) {
        tw_code code = io_failure(pdf, "this file cannot be made", errno);
        if (error != NULL)
            *error = pdf->failure;
        return code;
    }
    pdf->buffer = tw_block_new(pdf->allocator, TW_PDF_BUFFER);
    return pdf->buffer == NULL ? tw_no_memory(error) : TW_OK;
}

void tw_pdf_close(tw_pdf *pdf) {
    if (pdf->descriptor >= 0)
        (void)close(pdf->descriptor);
    pdf->descriptor = -1;
}

/* Tell how far it is and ask whether to stop, between two writes. */
static tw_code look_around(tw_pdf *pdf) {
    uint64_t done = pdf->facts.done + pdf->written;
    const tw_run *run = pdf->facts.run;
    tw_error failure;
    if (run == NULL)
        return TW_OK;
    if (run->progress != NULL)
        run->progress(run->context, "writing", done < pdf->facts.total ? done : pdf->facts.total,
                      pdf->facts.total);
    if (run->cancelled == NULL || !run->cancelled(run->context))
        return TW_OK;
    memset(&failure, 0, sizeof failure);
    (void)tw_fail(&failure, TW_CANCELLED, "cancelled", "stopped as asked");
    return tw_pdf_keep(pdf, &failure);
}

/* Let the disk begin now what fsync would otherwise wait for at the end, and give back the memory
 * of what it has by now: a sheet of gigabytes would else push everything else out of the cache, and
 * each new page costs more than one used a moment ago. Only advice: where it is not known nothing
 * is lost but time. */
static void hasten(tw_pdf *pdf) {
    uint64_t out = pdf->written - pdf->held;
    if (out < pdf->on_way + TW_PDF_BATCH)
        return;
#ifdef POSIX_FADV_DONTNEED
    uint64_t from = pdf->on_way > TW_PDF_BEHIND ? pdf->on_way - TW_PDF_BEHIND : 0;
    (void)posix_fadvise(pdf->descriptor, (off_t)from, (off_t)(out - from), POSIX_FADV_DONTNEED);
#endif
    pdf->on_way = out;
}

static tw_code write_all(tw_pdf *pdf, const unsigned char *bytes, size_t length) {
    while (length > 0) {
        ssize_t done = write(pdf->descriptor, bytes, length);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return io_failure(pdf, "this file cannot be written", done == 0 ? EIO : errno);
        bytes += done;
        length -= (size_t)done;
    }
    hasten(pdf);
    return look_around(pdf);
}

static tw_code flush(tw_pdf *pdf) {
    size_t held = pdf->held;
    pdf->held = 0;
    return held == 0 ? TW_OK : write_all(pdf, pdf->buffer, held);
}

/* libharu counts offsets in 32 bits and goes on silently past their end. */
static tw_code too_long(tw_pdf *pdf) {
    tw_error failure;
    memset(&failure, 0, sizeof failure);
    (void)tw_fail(&failure, TW_BUG, "file-too-long",
                  "%s would pass 2147483647 bytes, which the layout should have seen",
                  tw_path_last(pdf->path));
    return tw_pdf_keep(pdf, &failure);
}

static tw_code put(tw_pdf *pdf, const unsigned char *bytes, size_t length) {
    if (pdf->failure.code != TW_OK)
        return pdf->failure.code;
    pdf->written += length;
    if (pdf->written > (uint64_t)TW_SHEET_BYTES_MOST)
        return too_long(pdf);
    if (length > TW_PDF_BUFFER - pdf->held && flush(pdf) != TW_OK)
        return pdf->failure.code;
    if (length >= TW_PDF_BUFFER)
        return write_all(pdf, bytes, length);
    memcpy(pdf->buffer + pdf->held, bytes, length);
    pdf->held += length;
    return TW_OK;
}

static HPDF_STATUS write_callback(HPDF_Stream stream, const HPDF_BYTE *bytes, HPDF_UINT length) {
    return put(stream->attr, bytes, length) == TW_OK ? HPDF_OK : HPDF_FILE_IO_ERROR;
}

/* ------------------------------------------------ stream objects */

static tw_code move_pixels(tw_pdf_stream *stream, HPDF_Stream out) {
    tw_pdf *pdf = stream->pdf;
    unsigned char *piece = tw_block_new(pdf->allocator, TW_PDF_BUFFER);
    tw_error failure;
    tw_code code = TW_OK;
    size_t got = 1;
    memset(&failure, 0, sizeof failure);
    if (piece == NULL)
        code = tw_no_memory(&failure);
    while (code == TW_OK && got > 0) {
        code = tw_pixels_pull(stream->pixels, piece, TW_PDF_BUFFER, &got, &failure);
        if (code == TW_OK && HPDF_Stream_Write(out, piece, (HPDF_UINT)got) != HPDF_OK)
            break; /* kept already by put() */
    }
    tw_block_free(pdf->allocator, piece);
    tw_pixels_close(stream->pixels);
    stream->pixels = NULL;
    return code == TW_OK ? pdf->failure.code : tw_pdf_keep(pdf, &failure);
}

static HPDF_STATUS read_callback(HPDF_Stream reader, HPDF_BYTE *bytes, HPDF_UINT *length) {
    tw_pdf_stream *stream = reader->attr;
    HPDF_Stream out = stream->pdf->doc->stream;
    (void)bytes;
    *length = 0;
    if (stream->image != NULL && move_pixels(stream, out) != TW_OK)
        return HPDF_FILE_IO_ERROR;
    if (stream->image == NULL &&
        HPDF_Stream_Write(out, stream->bytes, (HPDF_UINT)stream->length) != HPDF_OK)
        return HPDF_FILE_IO_ERROR;
    return HPDF_STREAM_EOF;
}

static HPDF_STATUS seek_callback(HPDF_Stream reader, HPDF_INT at, HPDF_WhenceMode mode) {
    (void)reader;
    (void)at;
    (void)mode;
    return HPDF_OK;
}

static HPDF_INT32 tell_callback(HPDF_Stream reader) {
    (void)reader;
    return 0;
}

/* Not the true size: libharu only asks whether there is anything. */
static HPDF_UINT32 size_callback(HPDF_Stream reader) {
    (void)reader;
    return 1;
}

static HPDF_STATUS write_entries(HPDF_Dict dict, HPDF_Stream out) {
    tw_pdf_stream *stream = dict->attr;
    if (stream->image == NULL)
        return HPDF_Stream_WriteStr(out, stream->entries);
    return tw_pdf_image_entries(stream, out) == TW_OK ? HPDF_OK : HPDF_FILE_IO_ERROR;
}

tw_pdf_stream *tw_pdf_stream_new(tw_pdf *pdf, const char *entries) {
    tw_pdf_stream *stream = tw_arena_take(pdf->arena, sizeof *stream);
    HPDF_Dict dict = stream == NULL ? NULL : HPDF_DictStream_New(pdf->doc->mmgr, pdf->doc->xref);
    HPDF_Stream reader = dict == NULL
                             ? NULL
                             : HPDF_CallbackReader_New(pdf->doc->mmgr, read_callback, seek_callback,
                                                       tell_callback, size_callback, stream);
    if (reader == NULL) {
        tw_error failure;
        memset(&failure, 0, sizeof failure);
        (void)tw_no_memory(&failure);
        (void)tw_pdf_keep(pdf, &failure);
        return NULL; /* the dictionary is the document's already */
    }
    HPDF_Stream_Free(dict->stream);
    dict->stream = reader;
    dict->filter = HPDF_STREAM_FILTER_NONE;
    dict->write_fn = write_entries;
    dict->attr = stream;
    *stream = (tw_pdf_stream){.pdf = pdf, .dict = dict, .entries = entries};
    return stream;
}

unsigned tw_pdf_number(HPDF_Dict dict) {
    return dict->header.obj_id & 0x00FFFFFF; /* the upper bits are libharu's flags */
}

/* ------------------------------------------------ dictionaries as text */

char *tw_pdf_keep_text(tw_pdf *pdf, tw_buffer *text) {
    char *copy = text->failed ? NULL : tw_arena_copy(pdf->arena, text->bytes, text->length);
    tw_buffer_free(text);
    if (copy == NULL)
        (void)tw_pdf_no_memory(pdf);
    return copy;
}

HPDF_STATUS tw_pdf_write_text(HPDF_Dict dict, HPDF_Stream out) {
    return HPDF_Stream_WriteStr(out, dict->attr);
}

HPDF_Dict tw_pdf_dict(tw_pdf *pdf, char *entries) {
    HPDF_Dict dict = entries == NULL ? NULL : HPDF_Dict_New(pdf->doc->mmgr);
    if (dict == NULL || HPDF_Xref_Add(pdf->doc->xref, dict) != HPDF_OK) {
        (void)tw_pdf_no_memory(pdf);
        return NULL;
    }
    dict->attr = entries;
    dict->write_fn = tw_pdf_write_text;
    return dict;
}

/* ------------------------------------------------ the whole document */

/* What libharu's own save does, on our stream. The second line marks the file as binary
 * (ISO 32000-1, 7.5.2). */
static HPDF_STATUS write_document(tw_pdf *pdf) {
    HPDF_Doc doc = pdf->doc;
    HPDF_STATUS status = HPDF_Stream_WriteStr(doc->stream, "%PDF-1.6\n%\xB7\xBE\xAD\xAA\n");
    if (status == HPDF_OK)
        status = HPDF_Dict_Add(doc->trailer, "Root", doc->catalog);
    if (status == HPDF_OK)
        status = HPDF_Dict_Add(doc->trailer, "Info", doc->info);
    return status == HPDF_OK ? HPDF_Xref_WriteToStream(doc->xref, doc->stream, NULL) : status;
}

tw_code tw_pdf_write(tw_pdf *pdf) {
    HPDF_Doc doc = pdf->doc;
    doc->stream = HPDF_CallbackWriter_New(doc->mmgr, write_callback, pdf); /* freed with doc */
    if (doc->stream == NULL || write_document(pdf) != HPDF_OK || tw_pdf_state(pdf) != TW_OK)
        return tw_pdf_state(pdf);
    if (flush(pdf) != TW_OK)
        return pdf->failure.code;
    if (fsync(pdf->descriptor) != 0)
        return io_failure(pdf, "this file cannot be written", errno);
    int descriptor = pdf->descriptor;
    pdf->descriptor = -1;
    return close(descriptor) == 0 ? TW_OK : io_failure(pdf, "this file cannot be written", errno);
}

/*
 * The sheet check against a small sheet that passes, and that sheet broken in one place for every
 * check: exactly that check fails. Clauses: ISO 19005-2 and ISO 15930-7 second-hand, as the
 * header of pdfcheck.h says; the values themselves (box sizes, blend modes, keys) are those of
 * ISO 32000-1.
 */
#include "testing.h"

#include "pdf/pdf_sample.h"
#include "pdfcheck/pdfcheck.h"

typedef struct broken {
    tw_pdf_check check;
    sample_change changes[4];
    const char *why;
} broken;

static const broken cases[] = {
    {TW_CHECK_HEADER, {{"\n%\xE2\xE3\xCF\xD3", "\n%text"}}, "second line"},
    {TW_CHECK_VERSION, {{"%PDF-1.6", "%PDF-1.7"}}, "PDF 1.7"},
    {TW_CHECK_VERSION, {{"/Type /Catalog", "/Type /Catalog /Version /1.7"}}, "PDF 1.7"},
    {TW_CHECK_IDENTIFIER, {{"/ID [<01> <01>]", ""}}, "no ID"},
    {TW_CHECK_IDENTIFIER, {{"/ID [<01> <01>]", "/ID [<01> <>]"}}, "no ID"},
    {TW_CHECK_ENCRYPTION, {{"/ID", "/Encrypt <</Filter /Standard>> /ID"}}, "Encrypt"},
    {TW_CHECK_END, {{"%%EOF\n", "%%EOF\nmore"}}, "last line"},
    {TW_CHECK_OBJECTS, {{"15 0 obj", "99 0 obj"}}, "object 15"},
    {TW_CHECK_OBJECTS, {{"<</Type /Nothing>>", "<</Type /Nothing"}}, "object 15"},
    {TW_CHECK_STREAMS, {{"<<>>stream:a font", "<</Length 5>>stream:a font"}}, "object 9"},
    {TW_CHECK_STREAMS, {{"<<>>stream:a font", "<</Length 99999>>stream:a font"}}, "object 9"},
    {TW_CHECK_STREAMS, {{"<<>>stream:a font", "<</F (x)>>stream:a font"}}, "another file"},
    {TW_CHECK_FILTERS, {{"<<>>stream:a font", "<</Filter /LZWDecode>>stream:a font"}}, "LZW"},
    {TW_CHECK_FILTERS, {{"<<>>stream:a font", "<</Filter [/Crypt]>>stream:a font"}}, "Crypt"},
    {TW_CHECK_PAGE_SIZE, {{"[0 0 200 100]", "[0 0 200 14400.5]"}}, "200 x 14400"},
    {TW_CHECK_PAGE_SIZE, {{"/TrimBox [10 10 190 90]", "/TrimBox [10 10 12.9 90]"}}, "TrimBox"},
    {TW_CHECK_BOXES, {{"/TrimBox [10 10 190 90]", ""}}, "neither"},
    {TW_CHECK_BOXES,
     {{"/TrimBox [10 10 190 90]", "/ArtBox [9 9 99 90] /TrimBox [9 9 99 90]"}},
     "both"},
    {TW_CHECK_BOXES, {{"[5 5 195 95.5]", "[10.00001 5 195 95]"}}, "BleedBox"},
    {TW_CHECK_BOXES, {{"[5 5 195 95.5]", "[5 5 200.1 95]"}}, "MediaBox"},
    {TW_CHECK_PRINT_INTENT, {{"/S /GTS_PDFX", "/S /Other"}}, "no output intent"},
    {TW_CHECK_PRINT_INTENT, {{">>profile:", ">>profile:mntr"}}, "class mntr"},
    {TW_CHECK_PRINT_INTENT,
     {{"/GTS_PDFX /OutputConditionIdentifier (Custom)", "/GTS_PDFX"}},
     "OutputConditionIdentifier"},
    {TW_CHECK_ARCHIVE_INTENT,
     {{"/GTS_PDFA1 /OutputConditionIdentifier (Custom) /DestOutputProfile 6",
       "/GTS_PDFA1 /OutputConditionIdentifier (Custom) /DestOutputProfile 14"},
      {"0 0 1 rg ", ""}},
     "several profiles"},
    {TW_CHECK_PROFILES, {{"<</N 1>>grey:", "<</N 3>>grey:"}}, "1 channels"},
    {TW_CHECK_PROFILES, {{"<</N 1>>grey:", "<</N 1>>stream:no profile"}}, "no valid profile"},
    {TW_CHECK_PROFILES, {{"<</N 1>>grey:", "<</N 3>>profile:link"}}, "class link"},
    {TW_CHECK_PROFILES,
     {{"<</N 1>>grey:", "<</N 3>>profile:mntr3"}},
     "an ICCBased space has a profile of ICC version 3.1, not 2 or 4"},
    {TW_CHECK_PROFILES, {{"<</N 1>>grey:", "<</N 3>>profile:mntr5"}}, "version 5.3"},
    {TW_CHECK_PROFILES,
     {{"<</N 1>>grey:", "<</N 3>>profile:scnr2LUV "}},
     "an ICCBased space has a profile that connects through \"LUV \", not XYZ or Lab"},
    {TW_CHECK_DEVICE_COLOUR, {{"0 0 1 rg", "0 0 1 0 k"}}, "page 1 paints in DeviceCMYK"},
    {TW_CHECK_DEVICE_COLOUR, {{"/CS /G", "/CS /CMYK"}}, "DeviceCMYK"},
    {TW_CHECK_DEVICE_COLOUR, {{"stream:1 g", "stream:0 1 0 0 K"}}, "DeviceCMYK"},
    {TW_CHECK_DEVICE_COLOUR,
     {{"/Resources <<>>", "/Resources <<>> /Filter /RunLengthDecode"}},
     "another filter"},
    {TW_CHECK_DEVICE_COLOUR,
     {{"[/ICCBased 6 0 R]", "[/Indexed /DeviceCMYK 0 <00000000>]"}},
     "DeviceCMYK"},
    {TW_CHECK_DEVICE_COLOUR,
     {{"/C0 [/ICCBased 14 0 R]", "/C0 [/Separation /X /DeviceCMYK 14 0 R]"}},
     "DeviceCMYK"},
    {TW_CHECK_DEVICE_COLOUR, {{"/S /GTS_PDFA1", "/S /Other"}}, "DeviceGray"},
    {TW_CHECK_TRANSFER, {{"/ca 1", "/TR /Identity"}}, "object 11"},
    {TW_CHECK_TRANSFER, {{"/ca 1", "/TR2 /Identity"}}, "object 11"},
    {TW_CHECK_TRANSFER, {{"/ca 1", "/HTP [0 0]"}}, "object 11"},
    {TW_CHECK_IMAGES, {{"/Width 1", "/Width 1 /Interpolate true"}}, "interpolation"},
    {TW_CHECK_IMAGES, {{"/Width 1", "/Width 1 /Alternates []"}}, "alternates"},
    {TW_CHECK_FORMS, {{"/Subtype /Form", "/Subtype /Form /Subtype2 /PS"}}, "PostScript"},
    {TW_CHECK_FORMS, {{"/Subtype /Form", "/Subtype /PS"}}, "PostScript"},
    {TW_CHECK_FORMS, {{"/Subtype /Form", "/Subtype /Form /Ref <<>>"}}, "another file"},
    {TW_CHECK_TRANSPARENCY, {{"/BM /Normal", "/BM /Strange"}}, "Strange"},
    {TW_CHECK_TRANSPARENCY,
     {{"/ca 1", "/ca 0.999999"},
      {"/S /GTS_PDFA1", "/S /Other"},
      {"stream:1 g", "stream:n"},
      {"/ColorSpace <</C0", "/ColorSpace <</DefaultRGB [] /DefaultGray [] /C0"}},
     NULL},
    {TW_CHECK_FONTS, {{"/FontFile2 9 0 R", ""}}, "\"Face\""},
    {TW_CHECK_ANNOTATIONS,
     {{"/Parent", "/Annots [<</Subtype /Movie /Rect [0 0 1 1]>>] /Parent"}},
     "Movie"},
    {TW_CHECK_ACTIONS, {{"/Type /Catalog", "/Type /Catalog /OpenAction <</S /Launch>>"}}, "Launch"},
    {TW_CHECK_ACTIONS,
     {{"/Type /Catalog", "/Type /Catalog /Names <</JavaScript 9 0 R>>"}},
     "script"},
    {TW_CHECK_ACTIONS, {{"/Parent", "/AA <<>> /Parent"}}, "AA"},
    {TW_CHECK_LAYERS, {{"/Type /Catalog", "/Type /Catalog /OCProperties <</D <</AS []>>>>"}}, "AS"},
    {TW_CHECK_METADATA, {{"/Subtype /XML", "/Subtype /Text"}}, "Subtype XML"},
    {TW_CHECK_METADATA, {{"</rdf:RDF>", ""}}, "no XMP"},
    {TW_CHECK_METADATA, {{"xpacket end='r'?>", "xpacket end='r'"}}, "no XMP"},
    {TW_CHECK_AGREEMENT, {{"Tarn &amp; ridge", "Tarn &lt; ridge"}}, "Title"},
    {TW_CHECK_AGREEMENT, {{"10:30:00-05:00", "10:30:00Z"}}, "CreationDate"},
    {TW_CHECK_AGREEMENT, {{"xap:CreateDate=", "xap:OtherDate="}}, "no CreateDate"},
    {TW_CHECK_PRINT_NAME, {{">PDF/X-4<", ">PDF/X-1a<"}}, "PDF/X-1a"},
    {TW_CHECK_ARCHIVE_NAME, {{"a:part='2'", "a:part='1'"}}, "part \"1\""},
    {TW_CHECK_ARCHIVE_NAME, {{"a:conformance='B'", ""}}, "level \"\""},
    {TW_CHECK_TRAPPED, {{"/Trapped /False", "/Trapped /Unknown"}}, "trapped"},
};
enum { CASES = sizeof cases / sizeof cases[0] };

static void check(const sample *s, tw_pdf_report *report) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_error error = {0};
    assert_ok(tw_pdf_check_bytes(&allocator, s->bytes, s->length, report, &error), error);
    assert_no_leak(memory);
}

static void a_good_sheet_passes(void **state) {
    sample s;
    tw_pdf_report report;
    (void)state;
    sample_make(&s, NULL, 0);
    check(&s, &report);
    for (size_t i = 0; i < TW_CHECK_COUNT; i++)
        if (report.found[i].times > 0)
            fail_msg("%s: %s", tw_pdf_check_rows[i].name, report.found[i].why);
    assert_int_equal(report.version, 16);
    assert_int_equal(report.pages, 1);
    assert_int_equal(report.width, 200 * TW_PDFIN_ONE);
    free(s.bytes);
}

static void fails_alone(const broken *b) {
    sample s;
    tw_pdf_report report;
    size_t wanted = 0;
    while (wanted < 4 && b->changes[wanted].find != NULL)
        wanted++;
    sample_make(&s, b->changes, wanted);
    assert_int_equal(s.made, wanted);
    check(&s, &report);
    for (size_t i = 0; i < TW_CHECK_COUNT; i++)
        if ((report.found[i].times > 0) != (i == b->check))
            fail_msg("\"%s\" instead of \"%s\": %s \"%s\"", b->changes[0].put, b->changes[0].find,
                     tw_pdf_check_rows[i].name, report.found[i].why);
    if (b->why != NULL && strstr(report.found[b->check].why, b->why) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", report.found[b->check].why, b->why);
    free(s.bytes);
}

static void each_check_fails_alone(void **state) {
    bool tried[TW_CHECK_COUNT] = {false};
    (void)state;
    for (size_t i = 0; i < CASES; i++) {
        fails_alone(&cases[i]);
        tried[cases[i].check] = true;
    }
    for (size_t i = 0; i < TW_CHECK_COUNT; i++)
        if (!tried[i])
            fail_msg("no sheet is broken for %s", tw_pdf_check_rows[i].name);
}

/* A transparent sheet without an archive intent may define where it is mixed. */
static void harmless_things_pass(void **state) {
    static const sample_change changes[][2] = {
        {{"/ca 1", "/ca 0.5"}},
        {{"/BM /Normal", "/BM [/Multiply /Normal]"}},
        {{"/Type /Catalog", "/Type /Catalog /OpenAction <</S /GoTo /D [3 0 R /Fit]>>"}},
        {{"/Width 1", "/Width 1 /Interpolate false"}},
        {{"%PDF-1.6", "%PDF-1.4"}},
        {{"/BleedBox [5 5 195 95.5]", ""}},
        {{"/TrimBox [10 10 190 90]", "/ArtBox [190 90 10 10]"}},
        {{"/FontFile2", "/FontFile3"}},
        {{"10:30:00-05:00", "10:30-05:00"}},
        {{"(a \\) b)", "<61 2> % a comment )\n"}},
        {{"<</N 1>>grey:", "<</N 3>>profile:spac4Lab "}},
        {{"/Type /Nothing", "/Type /Nothing /Fo#6f [true false null 15 0 R -.5 +3]"}},
    };
    (void)state;
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        sample s;
        tw_pdf_report report;
        sample_make(&s, changes[i], 2);
        assert_int_equal(s.made, 1);
        check(&s, &report);
        for (size_t k = 0; k < TW_CHECK_COUNT; k++)
            if (report.found[k].times > 0)
                fail_msg("\"%s\": %s %s", changes[i][0].put, tw_pdf_check_rows[k].name,
                         report.found[k].why);
        free(s.bytes);
    }
}

static void the_report_says_so(void **state) {
    sample s;
    tw_pdf_report report;
    tw_buffer text, json;
    const sample_change change = {"/Trapped /False", "/Trapped /Unknown"};
    (void)state;
    sample_make(&s, &change, 1);
    check(&s, &report);
    tw_buffer_start(&text, NULL);
    tw_buffer_start(&json, NULL);
    tw_pdf_report_text(&report, "it.pdf", &text);
    tw_pdf_report_json(&report, "it.pdf", &json);
    assert_non_null(strstr(text.bytes, "it.pdf: 1 page, the first 70.6 x 35.3 mm, PDF 1.6"));
    assert_non_null(strstr(text.bytes, "  FAILS   trapped "));
    assert_non_null(strstr(text.bytes, "PDF/X-4 (ISO 15930-7): fails 1 of these 14 checks."));
    assert_non_null(strstr(text.bytes, "PDF/A-2b (ISO 19005-2): passes these checks, 22 of 22."));
    assert_null(strstr(text.bytes, "conform"));
    assert_non_null(strstr(json.bytes, "\"passes_x4\": false, \"passes_a2b\": true"));
    assert_int_equal(tw_pdf_failed(&report, TW_PDF_X), 1);
    assert_int_equal(tw_pdf_failed(&report, TW_PDF_A), 0);
    tw_buffer_free(&text);
    tw_buffer_free(&json);
    free(s.bytes);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_good_sheet_passes),
        cmocka_unit_test(each_check_fails_alone),
        cmocka_unit_test(harmless_things_pass),
        cmocka_unit_test(the_report_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

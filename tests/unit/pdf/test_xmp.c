/*
 * XMP: what is written is read back, by our reader and as RDF would have it (ISO 16684-1: a
 * property is an element or an attribute, whatever its prefix is called).
 */
#include "testing.h"

#include "pdf/xmp.h"

static const char other[] =
    "<?xpacket begin='' id='x'?><!-- <not/a tag --><x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF "
    "xmlns:rdf='r'><rdf:Description xmlns:q = \"http://purl.org/dc/elements/1.1/\" q:format = 'a>b'"
    "><q:title>\n <rdf:Alt> <rdf:li xml:lang='x-default'>A &lt;B&gt; &#233;&#x1F600;</rdf:li>"
    "</rdf:Alt></q:title><q:titles>no</q:titles><q:empty/></rdf:Description></rdf:RDF>"
    "</x:xmpmeta><?xpacket end='w'?>";

static void what_is_written_is_read(void **state) {
    static const char title[] = "Tarn & <ridge> \"two\" \xC2\xB7 \xF0\x9F\x98\x80";
    tw_xmp_facts facts = {.title = title,
                          .creator = "Trimwell 1 & 2",
                          .producer = "a library",
                          .date = "2027-03-06",
                          .identifier = "00112233445566778899aabbccddeeff",
                          .print = true,
                          .archive = true};
    char text[200];
    tw_buffer packet;
    (void)state;
    tw_buffer_start(&packet, NULL);
    tw_xmp_write(&facts, &packet);
    assert_true(tw_xmp_valid(packet.bytes, packet.length));
    assert_non_null(strstr(packet.bytes, "Tarn &amp; &lt;ridge&gt; \"two\"")); /* XML 1.0, 2.4 */
    assert_true(tw_xmp_get(packet.bytes, TW_XMP_DC, "title", text, sizeof text));
    assert_string_equal(text, title);
    assert_true(tw_xmp_get(packet.bytes, TW_XMP_BASIC, "CreatorTool", text, sizeof text));
    assert_string_equal(text, "Trimwell 1 & 2");
    assert_true(tw_xmp_get(packet.bytes, TW_XMP_BASIC, "ModifyDate", text, sizeof text));
    assert_string_equal(text, "2027-03-06");
    assert_true(tw_xmp_get(packet.bytes, TW_XMP_PDF, "Producer", text, sizeof text));
    assert_true(tw_xmp_get(packet.bytes, TW_XMP_ARCHIVE, "part", text, sizeof text));
    assert_string_equal(text, "2");
    assert_true(tw_xmp_get(packet.bytes, TW_XMP_PRINT, "GTS_PDFXVersion", text, sizeof text));
    assert_string_equal(text, "PDF/X-4");
    tw_buffer_free(&packet);
}

static void what_is_not_so_is_not_said(void **state) {
    tw_xmp_facts facts = {.title = "", .creator = "c", .identifier = "i"};
    char text[200];
    tw_buffer packet;
    (void)state;
    tw_buffer_start(&packet, NULL);
    tw_xmp_write(&facts, &packet);
    assert_true(tw_xmp_valid(packet.bytes, packet.length));
    assert_false(tw_xmp_get(packet.bytes, TW_XMP_BASIC, "CreateDate", text, sizeof text));
    assert_false(tw_xmp_get(packet.bytes, TW_XMP_ARCHIVE, "part", text, sizeof text));
    assert_false(tw_xmp_get(packet.bytes, TW_XMP_PRINT, "GTS_PDFXVersion", text, sizeof text));
    tw_buffer_free(&packet);
}

static void other_writers_are_read(void **state) {
    char text[200];
    (void)state;
    assert_true(tw_xmp_valid(other, strlen(other)));
    assert_true(tw_xmp_get(other, TW_XMP_DC, "title", text, sizeof text));
    assert_string_equal(text, "A <B> \xC3\xA9\xF0\x9F\x98\x80");
    assert_true(tw_xmp_get(other, TW_XMP_DC, "format", text, sizeof text));
    assert_string_equal(text, "a>b");
    assert_true(tw_xmp_get(other, TW_XMP_DC, "empty", text, sizeof text));
    assert_string_equal(text, "");
    assert_false(tw_xmp_get(other, TW_XMP_DC, "titl", text, sizeof text));
    assert_true(tw_xmp_get(other, TW_XMP_DC, "title", text, 8)); /* cut, and ended */
    assert_true(strlen(text) < 8);
}

static void what_is_no_xmp_is_refused(void **state) {
    static const char *const texts[] = {"",
                                        "rdf:RDF",
                                        "<a><rdf:RDF></a></rdf:RDF>",
                                        "<rdf:RDF>",
                                        "<rdf:RDF></rdf:RDF></a>",
                                        "<rdf:RDF a='></rdf:RDF>",
                                        "<rdf:RDF/><!-- ",
                                        "<rdf:RDF/>\xFF",
                                        "<rdf:RDF/>< >",
                                        "<rdf:RDF>A & B</rdf:RDF>",
                                        "<rdf:RDF>A &amp B</rdf:RDF>",
                                        "<rdf:RDF a='&nbsp;'/>",
                                        "<rdf:RDF>&#xD800;</rdf:RDF>",
                                        "<rdf:RDF/>&"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        if (tw_xmp_valid(texts[i], strlen(texts[i])))
            fail_msg("\"%s\"", texts[i]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_is_read),
        cmocka_unit_test(what_is_not_so_is_not_said),
        cmocka_unit_test(other_writers_are_read),
        cmocka_unit_test(what_is_no_xmp_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/*
 * The road not taken: the PDF library's own PNG loader, which decodes and deflates again.
 * stock_loader IN.png OUT.pdf. For the bench's ratio only.
 */
#include <hpdf.h>
#include <stdio.h>

int main(int count, char **words) {
    if (count != 3)
        return 2;
    HPDF_Doc document = HPDF_New(NULL, NULL);
    HPDF_SetCompressionMode(document, HPDF_COMP_ALL);
    HPDF_Page page = HPDF_AddPage(document);
    HPDF_Image image = HPDF_LoadPngImageFromFile(document, words[1]);
    if (image == NULL || HPDF_Page_DrawImage(page, image, 0, 0, 500, 700) != HPDF_OK ||
        HPDF_SaveToFile(document, words[2]) != HPDF_OK) {
        fprintf(stderr, "stock_loader: failed\n");
        return 1;
    }
    HPDF_Free(document);
    return 0;
}

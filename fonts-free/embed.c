/*
 * Build step: writes files as C arrays. embed OUT.c TABLE FILE... makes
 *   const struct tw_embedded TABLE[]: each file's name (last part of its path), bytes, length;
 * a row with a NULL name ends it; and const char *const TABLE_names[]: the names less their
 * ending, NULL at the end.
 */
#include <stdio.h>
#include <string.h>

static int write_bytes(FILE *out, const char *path, int number) {
    FILE *in = fopen(path, "rb");
    int byte;
    long count = 0;
    if (in == NULL) {
        fprintf(stderr, "embed: cannot read %s\n", path);
        return 1;
    }
    fprintf(out, "static const unsigned char file_%d[] = {", number);
    while ((byte = getc(in)) != EOF)
        fprintf(out, count++ % 20 == 0 ? "\n%d," : "%d,", byte);
    fprintf(out, "0};\n");
    return fclose(in) != 0;
}

static const char *last_part(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

static void write_names(FILE *out, char **words, int count) {
    fprintf(out, "const char *const %s_names[] = {\n", words[2]);
    for (int i = 3; i < count; i++) {
        const char *name = last_part(words[i]), *dot = strrchr(name, '.');
        fprintf(out, "\"%.*s\",\n", (int)(dot == NULL ? strlen(name) : (size_t)(dot - name)), name);
    }
    fprintf(out, "0};\n");
}

int main(int count, char **words) {
    FILE *out = count >= 3 ? fopen(words[1], "wb") : NULL;
    int bad = 0;
    if (out == NULL) {
        fprintf(stderr, "usage: embed OUT.c TABLE FILE...\n");
        return 2;
    }
    fprintf(out, "#include \"base/embedded.h\"\n");
    for (int i = 3; i < count; i++)
        bad |= write_bytes(out, words[i], i);
    fprintf(out, "const struct tw_embedded %s[] = {\n", words[2]);
    for (int i = 3; i < count; i++)
        fprintf(out, "{\"%s\", file_%d, sizeof file_%d - 1},\n", last_part(words[i]), i, i);
    fprintf(out, "{0, 0, 0}};\n");
    write_names(out, words, count);
    return fclose(out) != 0 || bad;
}

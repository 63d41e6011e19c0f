/*
 * For the whole-command tests: reads exactly one JSON document from standard input and prints the
 * value at a pointer (RFC 6901; no ~ escapes). json_get POINTER: a string without its quotes,
 * anything else as JSON; json_get POINTER count: how many items it has. 1: no such value;
 * 2: not one JSON document.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cjson/cJSON.h>

enum { MOST = 16 << 20 };

static cJSON *read_document(void) {
    static char text[MOST];
    const char *end = NULL;
    size_t length = fread(text, 1, sizeof text - 1, stdin);
    cJSON *document = cJSON_ParseWithOpts(text, &end, 0);
    if (document == NULL || strlen(text) != length || end[strspn(end, " \t\r\n")] != '\0') {
        cJSON_Delete(document);
        return NULL;
    }
    return document;
}

static const cJSON *find(const cJSON *value, char *pointer) {
    for (char *key = strtok(pointer, "/"); key != NULL && value != NULL; key = strtok(NULL, "/"))
        value = cJSON_IsArray(value) ? cJSON_GetArrayItem(value, atoi(key))
                                     : cJSON_GetObjectItemCaseSensitive(value, key);
    return value;
}

static void print(const cJSON *value) {
    char *text = cJSON_IsString(value) ? NULL : cJSON_PrintUnformatted(value);
    puts(text == NULL ? cJSON_GetStringValue(value) : text);
    cJSON_free(text);
}

int main(int count, char **words) {
    cJSON *document = count >= 2 ? read_document() : NULL;
    if (document == NULL)
        return 2;
    const cJSON *value = find(document, words[1]);
    if (value != NULL && count == 3)
        printf("%d\n", cJSON_GetArraySize(value));
    else if (value != NULL)
        print(value);
    cJSON_Delete(document);
    return value == NULL;
}

/* Folder, shell, command and plan for the checks against the outside (see outside.h). */
#include "outside.h"

#include <math.h>
#include <sys/wait.h>
#include <unistd.h>

/* ------------------------------------------------ folder and files */

static char folder[256];
static char started_in[512];

int enter_folder(void **state) {
    const char *temporary = getenv("TMPDIR");
    (void)state;
    (void)snprintf(folder, sizeof folder, "%s/trimwell-outside-XXXXXX",
                   temporary == NULL ? "/tmp" : temporary);
    if (getcwd(started_in, sizeof started_in) == NULL || mkdtemp(folder) == NULL)
        return -1;
    return chdir(folder);
}

int leave_folder(void **state) {
    char command[300];
    (void)state;
    if (chdir(started_in) != 0)
        return -1;
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return getenv("OUTSIDE_KEEP") != NULL ? 0 : system(command);
}

void write_text(const char *name, const char *format, ...) {
    FILE *file = fopen(name, "wb");
    va_list values;
    if (file == NULL)
        fail_msg("cannot write %s", name);
    va_start(values, format);
    (void)vfprintf(file, format, values);
    va_end(values);
    assert_int_equal(fclose(file), 0);
}

unsigned char *whole_file(const char *name, size_t *length) {
    FILE *file = fopen(name, "rb");
    if (file == NULL || fseek(file, 0, SEEK_END) != 0)
        fail_msg("cannot read %s", name);
    *length = (size_t)ftell(file);
    rewind(file);
    unsigned char *bytes = malloc(*length + 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, *length, file), *length);
    bytes[*length] = '\0';
    (void)fclose(file);
    return bytes;
}

/* ------------------------------------------------ tools */

static int run(const char *command) {
    char line[4200];
    (void)snprintf(line, sizeof line, "{ %s\n} >out 2>err </dev/null", command);
    int status = system(line);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}

int try_shell(const char *format, ...) {
    char command[4096];
    va_list values;
    va_start(values, format);
    int length = vsnprintf(command, sizeof command, format, values);
    va_end(values);
    assert_in_range(length, 1, sizeof command - 1);
    return run(command);
}

static void say_file(const char *name) {
    size_t length;
    unsigned char *bytes = whole_file(name, &length);
    print_error("--- %s\n%.2000s\n", name, (const char *)bytes);
    free(bytes);
}

void shell(const char *format, ...) {
    char command[4096];
    va_list values;
    va_start(values, format);
    int length = vsnprintf(command, sizeof command, format, values);
    va_end(values);
    assert_in_range(length, 1, sizeof command - 1);
    int code = run(command);
    if (code == 0)
        return;
    say_file("out");
    say_file("err");
    fail_msg("exit %d: %s", code, command);
}

cJSON *read_json(const char *name) {
    size_t length;
    unsigned char *bytes = whole_file(name, &length);
    cJSON *json = cJSON_Parse((const char *)bytes);
    free(bytes);
    if (json == NULL)
        fail_msg("%s is not JSON", name);
    return json;
}

cJSON *compose(const char *words, const char *out_folder) {
    char name[256];
    shell("'%s' compose %s -o '%s'", TRIMWELL_COMMAND, words, out_folder);
    (void)snprintf(name, sizeof name, "%s/plan.json", out_folder);
    return read_json(name);
}

void write_day(const char *name, const char *paper, const char *templates, const char *orders,
               const char *settings) {
    char path[256];
    shell("mkdir -p '%s'", name);
    (void)snprintf(path, sizeof path, "%s/job.json", name);
    write_text(path,
               "{\"trimwell\": 1, \"name\": \"Outside day\", \"papers\": [\"./paper.json\"], "
               "\"templates\": [\"./templates.json\"], \"orders\": \"orders.csv\", "
               "\"images\": [\"..\"]%s}\n",
               settings);
    (void)snprintf(path, sizeof path, "%s/paper.json", name);
    write_text(path, "{\"trimwell\": 1, \"name\": \"paper\", %s}\n", paper);
    (void)snprintf(path, sizeof path, "%s/templates.json", name);
    write_text(path, "{\"trimwell\": 1, \"templates\": [%s]}\n", templates);
    (void)snprintf(path, sizeof path, "%s/orders.csv", name);
    write_text(path, "order,image,template,copies\n%s", orders);
}

/* ------------------------------------------------ values */

const cJSON *member(const cJSON *object, const char *key) {
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(object, key);
    if (found == NULL)
        fail_msg("no member \"%s\"", key);
    return found;
}

double number_of(const cJSON *object, const char *key) {
    const cJSON *found = member(object, key);
    if (!cJSON_IsNumber(found))
        fail_msg("\"%s\" is not a number", key);
    return found->valuedouble;
}

const char *text_of(const cJSON *object, const char *key) {
    const cJSON *found = member(object, key);
    if (!cJSON_IsString(found))
        fail_msg("\"%s\" is not a text", key);
    return found->valuestring;
}

const cJSON *item(const cJSON *array, int index) {
    const cJSON *found = cJSON_GetArrayItem(array, index);
    if (found == NULL)
        fail_msg("no item %d", index);
    return found;
}

int64_t nm_of(const cJSON *object, const char *key) {
    return llround(number_of(object, key) * 1e6);
}

void assert_near(const char *what, double seen, double wanted, double error) {
    if (!(fabs(seen - wanted) <= error))
        fail_msg("%s: %.6f is not %.6f (they differ by %.6f, and %.6f is allowed)", what, seen,
                 wanted, seen - wanted, error);
}

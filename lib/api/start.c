/*
 * `trimwell start`: a small print day that composes as it stands, to be edited. The words and
 * tables of the day are here; its photographs are drawn by scene.c.
 */
#include <dirent.h>
#include <errno.h>
#include <string.h>
#include <sys/stat.h>

#include "api/scene.h"
#include "base/file.h"

static const char job_text[] = "{\n"
                               "  \"trimwell\": 1,\n"
                               "  \"name\": \"First print day\",\n"
                               "  \"papers\": [\"satin-24in\"],\n"
                               "  \"templates\": [\"frames-inch\"],\n"
                               "  \"orders\": \"orders.csv\",\n"
                               "  \"images\": [\"photos\"],\n"
                               "  \"colour\": {\"mode\": \"tag\"}\n"
                               "}\n";

static const char orders_text[] = "order,buyer,image,template,copies,title\n"
                                  "101,Marit Oskarwen,first-light.png,8x10,2,First light\n"
                                  "101,Marit Oskarwen,quiet-water.png,8x10,1,Quiet water\n"
                                  "102,Teodor Vallanti,last-hour.png,8x8,1,The last hour\n"
                                  "103,Ines Quarrow,first-light.png,5x7,3,First light\n";

static const char readme_text[] =
    "A print day for Trimwell\n"
    "\n"
    "job.json    what this day is made of: its paper, its templates (the frame sizes),\n"
    "            its orders and the folders its images are in\n"
    "orders.csv  one line for each print somebody bought; any spreadsheet opens it\n"
    "photos/     the images the orders name\n"
    "\n"
    "It works as it stands. In the folder above this one:\n"
    "\n"
    "  trimwell check DIR             every problem, before paper is spent\n"
    "  trimwell plan DIR              how the prints will lie, and what is cut\n"
    "  trimwell compose DIR -o OUT    the sheets to print and the guide to cut them by\n"
    "\n"
    "Then make it yours:\n"
    "\n"
    "1. Put your images into photos/ (PNG, JPEG or TIFF) and delete the three that are there.\n"
    "2. Write your orders into orders.csv. Each line needs order, image and template.\n"
    "   Other columns it knows: buyer, paper, copies, title, due, note, price, address,\n"
    "   edition, and accept: the names of warnings that this line may ignore.\n"
    "3. In job.json give the paper you have loaded. A name such as satin-24in is a paper that\n"
    "   comes with Trimwell; a paper of your own is a file, such as \"papers/mine.json\", with\n"
    "   at least:\n"
    "     {\"trimwell\": 1, \"name\": \"mine\", \"kind\": \"roll\", \"width\": \"24in\",\n"
    "      \"length\": \"50ft\", \"margins\": {\"side\": \"1/4in\", \"lead\": \"1/8in\", "
    "\"tail\": \"1/8in\"}}\n"
    "4. \"colour\": {\"mode\": \"tag\"} means that every image keeps its own profile and that the\n"
    "   driver, or whatever prints the PDFs, converts for the paper.\n"
    "5. Run trimwell check again until you agree with all it says.\n";

/* clang-format off */
static const tw_scene scenes[] = {
    {"first-light.png", 2400, 1600, 11, 64, 30, 30,
     {58, 92, 138}, {246, 196, 150}, {150, 146, 168}, {24, 34, 48}},
    {"quiet-water.png", 1760, 2200, 27, 60, 70, 14,
     {72, 122, 160}, {216, 228, 226}, {142, 172, 184}, {26, 52, 50}},
    {"last-hour.png", 2400, 2400, 43, 66, 64, 27,
     {46, 40, 84}, {250, 150, 92}, {158, 96, 110}, {22, 18, 36}},
};
/* clang-format on */
enum { SCENES = sizeof scenes / sizeof scenes[0] };

typedef struct starting {
    const char *folder, *photos;
    const tw_allocator *allocator;
    const tw_run *run;
} starting;

static tw_code refuse(const char *folder, const char *name, const char *message, tw_error *error) {
    tw_fail(error, TW_INPUT, name, "%s", message);
    tw_fail_at(error, folder, 0, 0);
    tw_fail_hint(error, "name a folder that does not exist yet");
    return TW_INPUT;
}

/* Only a new or an empty folder: nobody's files are mixed with the day's. */
static tw_code check_free(const char *folder, tw_error *error) {
    struct stat facts;
    const struct dirent *entry;
    bool empty = true;
    if (folder[0] == '\0')
        return refuse(folder, "no-folder", "the folder's name is empty", error);
    if (lstat(folder, &facts) != 0 && errno == ENOENT)
        return TW_OK;
    DIR *list = opendir(folder);
    if (list == NULL && tw_path_is_folder(folder))
        return refuse(folder, "unreadable-folder", "the folder cannot be read", error);
    if (list == NULL)
        return refuse(folder, "already-there", "is there already and is not a folder", error);
    while (empty && (entry = readdir(list)) != NULL)
        empty = strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0;
    closedir(list);
    return empty ? TW_OK : refuse(folder, "folder-not-empty", "the folder is not empty", error);
}

static tw_code step(const starting *s, size_t done, tw_error *error) {
    if (s->run != NULL && s->run->progress != NULL)
        s->run->progress(s->run->context, "drawing photographs", done, SCENES);
    if (s->run != NULL && s->run->cancelled != NULL && s->run->cancelled(s->run->context))
        return tw_fail(error, TW_CANCELLED, "cancelled", "stopped; nothing was written");
    return TW_OK;
}

static tw_code write_scene(const starting *s, tw_files *files, const tw_scene *scene,
                           tw_error *error) {
    tw_buffer image;
    tw_buffer_start(&image, s->allocator);
    tw_code code = tw_scene_png(scene, &image, error);
    if (code == TW_OK)
        code = tw_files_write(files, scene->name, image.bytes, image.length, error);
    tw_buffer_free(&image);
    return code;
}

static tw_code write_photos(const starting *s, tw_error *error) {
    tw_files *files = NULL;
    tw_code code = tw_files_start(s->allocator, s->photos, &files, error);
    for (size_t i = 0; i < SCENES && code == TW_OK; i++) {
        code = step(s, i, error);
        if (code == TW_OK)
            code = write_scene(s, files, &scenes[i], error);
    }
    if (code == TW_OK)
        code = step(s, SCENES, error);
    if (code == TW_OK)
        code = tw_files_commit(files, error);
    tw_files_abandon(files);
    return code;
}

static tw_code write_texts(tw_files *files, tw_error *error) {
    tw_code code = tw_files_write(files, "README.txt", readme_text, sizeof readme_text - 1, error);
    if (code == TW_OK)
        code = tw_files_write(files, "orders.csv", orders_text, sizeof orders_text - 1, error);
    if (code == TW_OK)
        code = tw_files_write(files, "job.json", job_text, sizeof job_text - 1, error);
    return code;
}

/* The texts get their names last: a folder with a job.json in it is a whole print day. What is
 * abandoned takes the folders it made with it. */
static tw_code write_day(const starting *s, tw_error *error) {
    tw_files *files = NULL;
    tw_code code = tw_files_start(s->allocator, s->folder, &files, error);
    if (code == TW_OK)
        code = write_texts(files, error);
    if (code == TW_OK)
        code = write_photos(s, error);
    if (code == TW_OK)
        code = tw_files_commit(files, error);
    tw_files_abandon(files);
    return code;
}

tw_code tw_start(const char *folder, const tw_run *run, tw_error *error) {
    starting s = {.folder = folder, .run = run, .allocator = run == NULL ? NULL : run->allocator};
    tw_code code = check_free(folder, error);
    if (code != TW_OK)
        return code;
    tw_arena *arena = tw_arena_new(s.allocator, 0);
    s.photos = arena == NULL ? NULL : tw_path_join(arena, folder, "photos");
    code = s.photos == NULL ? tw_no_memory(error) : write_day(&s, error);
    tw_arena_free(arena);
    return code;
}

/* The proof of a day: each line's first print, two pictures and its figures (proof.h). */
#include "base/old_files.h"
#include "proof/views.h"

#include <string.h>

typedef struct proofing {
    tw_arena *arena;
    const tw_job_data *job;
    bool simulate;
    const tw_run *run;
    tw_report *report;
    tw_error *error;
    tw_files *files;
    tw_proof_views views;
    tw_icc_facts *papers; /* by paper */
    tw_proof_line *lines;
    size_t count;
} proofing;

static const char *way_out(const tw_job_data *job, const tw_paper *paper) {
    if (paper->icc == NULL && job->colour == TW_COLOUR_TAG)
        return "give the paper a \"profile\", and set \"mode\" in the job's \"colour\" to auto or "
               "convert: it is tag";
    if (paper->icc == NULL)
        return "give the paper a \"profile\"";
    return "to see it on this paper set \"mode\" in the job's \"colour\" to auto or convert: it is "
           "tag";
}

static tw_code warn_paper(proofing *p, const tw_paper *paper) {
    tw_error warning = {0};
    tw_fail(&warning, TW_OK, "not-proofed",
            "paper \"%s\" is not converted to here, so there is nothing to show: the print path "
            "decides",
            paper->name);
    tw_fail_at(&warning, paper->place.file, paper->place.line, 0);
    tw_fail_hint(&warning, "%s", way_out(p->job, paper));
    return tw_report_warning(p->report, &warning, p->error);
}

static tw_code see_papers(proofing *p) {
    tw_code code = TW_OK;
    p->papers = tw_arena_array(p->arena, p->job->paper_count, sizeof *p->papers);
    if (p->papers == NULL)
        return tw_no_memory(p->error);
    for (size_t i = 0; i < p->job->paper_count && code == TW_OK; i++) {
        const tw_paper *paper = &p->job->papers[i];
        const tw_icc icc = {paper->icc, paper->icc_length};
        code = paper->converts
                   ? tw_icc_ends_read(tw_arena_allocator(p->arena), icc, &p->papers[i], p->error)
                   : warn_paper(p, paper);
    }
    return code;
}

/* Before item `index` of `count` in a list. */
static const char *between(int index, int count) {
    return index == 0 ? "" : index + 1 == count ? " and " : ", ";
}

/* "the top edge of image "x.png" is paper white for 5 in (127 mm)", or all edges that are. */
static void edge_words(const tw_print *print, const tw_nm runs[4], tw_buffer *out) {
    static const char *const names[] = {"top", "right", "bottom", "left"};
    char length[TW_LENGTH_TEXT];
    int sides[4], count = 0;
    for (int side = 0; side < 4; side++)
        if (runs[side] > 0)
            sides[count++] = side;
    tw_buffer_string(out, "the ");
    for (int i = 0; i < count; i++)
        tw_buffer_print(out, "%s%s", between(i, count), names[sides[i]]);
    tw_buffer_print(out, " edge%s of image \"%s\" %s paper white for ", count == 1 ? "" : "s",
                    print->line->image, count == 1 ? "is" : "are");
    for (int i = 0; i < count; i++)
        tw_buffer_print(out, "%s%s", between(i, count), tw_length_both(runs[sides[i]], length));
}

static tw_code warn_edge(proofing *p, const tw_print *print, const tw_proof_figures *figures) {
    static const tw_nm none[4];
    tw_buffer words;
    tw_error warning = {0};
    if (memcmp(figures->white_runs, none, sizeof none) == 0)
        return TW_OK;
    tw_buffer_start(&words, tw_arena_allocator(p->arena));
    edge_words(print, figures->white_runs, &words);
    if (words.failed) {
        tw_buffer_free(&words);
        return tw_no_memory(p->error);
    }
    tw_fail(&warning, TW_OK, "white-edge",
            "%s beside a white border: nobody will see where the picture ends", words.bytes);
    tw_buffer_free(&words);
    tw_fail_at(&warning, print->line->place.file, print->line->place.line, 0);
    tw_fail_hint(&warning, "\"keyline\": true in the template draws a grey hairline around it");
    return tw_report_warning(p->report, &warning, p->error);
}

/* ------------------------------------------------ one print */

/* An order's number may hold what a file's name may not. */
static const char *file_name(tw_arena *arena, const char *what, size_t number, const char *id) {
    char *name = tw_arena_print(arena, "%s-%03zu-%s.png", what, number, id);
    for (char *at = name; at != NULL && *at != '\0'; at++)
        if (*at == '/' || (unsigned char)*at < 0x20)
            *at = '_';
    return name;
}

static tw_code add_line(proofing *p, const tw_print *print) {
    tw_proof_line *line = &p->lines[p->count++];
    *line = (tw_proof_line){.print = print,
                            .file = file_name(p->arena, "proof", p->count, print->id),
                            .map = file_name(p->arena, "gamut", p->count, print->id)};
    return line->file == NULL || line->map == NULL ? tw_no_memory(p->error) : TW_OK;
}

/* The new file of views says what time it is for the stamps of files: no clock is asked. */
static tw_code start_views(proofing *p, const char *folder) {
    const char *temporary = NULL;
    tw_file_state state;
    tw_code code = tw_files_add(p->files, TW_VIEWS_FILE, &temporary, p->error);
    if (code == TW_OK)
        code = tw_file_look_at(temporary, &state, p->error);
    if (code == TW_OK)
        tw_proof_views_open(&p->views, tw_arena_allocator(p->arena), folder, state.seconds);
    return code;
}

static tw_code proof_prints(proofing *p, const tw_prints *prints) {
    const tw_proof_day day = {.job = p->job,
                              .papers = p->papers,
                              .simulate = p->simulate,
                              .run = p->run,
                              .files = p->files,
                              .views = &p->views};
    tw_code code = TW_OK;
    p->lines = tw_arena_array(p->arena, prints->count, sizeof *p->lines);
    if (p->lines == NULL)
        return tw_no_memory(p->error);
    for (size_t i = 0; i < prints->count && code == TW_OK; i++) {
        const tw_print *print = &prints->items[i];
        if (print->copy == 1 && p->job->papers[print->paper_index].converts)
            code = add_line(p, print);
    }
    if (code == TW_OK)
        code = tw_proof_pictures(p->arena, &day, p->lines, p->count, p->error);
    for (size_t i = 0; i < p->count && code == TW_OK; i++)
        code = warn_edge(p, p->lines[i].print, &p->lines[i].figures);
    return code;
}

/* ------------------------------------------------ the folder */

/* As file_name gives them: "proof-NNN-ID.png" and "gamut-NNN-ID.png". */
bool tw_is_proof_name(const char *name) {
    size_t digits = 0, length = strlen(name);
    if (length < 4 || strcmp(name + length - 4, ".png") != 0)
        return false;
    if (strncmp(name, "proof-", 6) != 0 && strncmp(name, "gamut-", 6) != 0)
        return false;
    while (name[6 + digits] >= '0' && name[6 + digits] <= '9')
        digits++;
    return digits >= 3 && name[6 + digits] == '-';
}

static const tw_old_list old_proof = {"proof.json", "prints", {"proof", "map"}, tw_is_proof_name};

static tw_code write_figures(proofing *p, tw_buffer *text) {
    tw_buffer json;
    tw_buffer_start(&json, tw_arena_allocator(p->arena));
    tw_proof_json(p->job, p->lines, p->count, p->papers, &json);
    tw_proof_text(p->job, p->lines, p->count, p->papers, text);
    tw_proof_views_text(&p->views, text);
    tw_code code = json.failed || text->failed
                       ? tw_no_memory(p->error)
                       : tw_files_write(p->files, "proof.json", json.bytes, json.length, p->error);
    tw_buffer_free(&json);
    return code;
}

tw_code tw_proof_write(tw_arena *arena, const tw_job_data *job, const tw_prints *prints,
                       const char *folder, bool simulate, const tw_run *run, tw_buffer *text,
                       tw_report *report, tw_error *error) {
    proofing p = {.arena = arena,
                  .job = job,
                  .simulate = simulate,
                  .run = run,
                  .report = report,
                  .views = {.descriptor = -1},
                  .error = error};
    tw_code code = see_papers(&p);
    if (code == TW_OK)
        code = tw_files_start(tw_arena_allocator(arena), folder, &p.files, error);
    if (code != TW_OK)
        return code;
    code = start_views(&p, folder);
    if (code == TW_OK)
        code = proof_prints(&p, prints);
    if (code == TW_OK)
        code = write_figures(&p, text);
    if (code == TW_OK)
        code = tw_old_files_remove(arena, folder, &old_proof, p.files, error);
    if (code == TW_OK)
        code = tw_files_commit(p.files, error);
    tw_files_abandon(p.files);
    tw_proof_views_close(&p.views);
    return code;
}

/* A proof's figures: lines for people, and proof.json. */
#include "proof/proof.h"

#include "report/plan_pixels.h"

#include <math.h>
#include <stdio.h>

/* Hundredths as a decimal, the same in every locale. */
void tw_hundredths(tw_buffer *out, double value) {
    long long n = llround(value * 100);
    unsigned long long most = n < 0 ? 0 - (unsigned long long)n : (unsigned long long)n;
    tw_buffer_print(out, "%s%llu.%02llu", n < 0 ? "-" : "", most / 100, most % 100);
}

static void lab_words(tw_buffer *out, const char *what, tw_lab lab) {
    tw_buffer_print(out, "%s L* ", what);
    tw_hundredths(out, lab.l);
    tw_buffer_string(out, " a* ");
    tw_hundredths(out, lab.a);
    tw_buffer_string(out, " b* ");
    tw_hundredths(out, lab.b);
}

static void paper_words(tw_buffer *out, const tw_paper *paper, const tw_icc_facts *facts) {
    tw_buffer_print(out, "%s, profile %s: ", paper->name, paper->icc_name);
    lab_words(out, "white", facts->white);
    lab_words(out, ", black", facts->black);
    tw_buffer_string(out, "\n");
}

static void print_words(tw_buffer *out, const tw_job_data *job, const tw_proof_line *line) {
    const tw_proof_figures *f = &line->figures;
    tw_buffer_print(out, "  %s: %s, %s on %s, %s: ", line->print->id, line->print->line->image,
                    line->print->format->name, job->papers[line->print->paper_index].name,
                    tw_intent_words(line->print->intent));
    tw_hundredths(out, f->share * 100);
    tw_buffer_string(out, " % of the pixels out of gamut; CIEDE2000 mean ");
    tw_hundredths(out, f->mean);
    tw_buffer_string(out, ", 95 % below ");
    tw_hundredths(out, f->most_below);
    tw_buffer_string(out, ", largest ");
    tw_hundredths(out, f->worst);
    if (f->grey) {
        tw_buffer_string(out, "; greys are printed within a* ");
        tw_hundredths(out, f->grey_a);
        tw_buffer_string(out, ", b* ");
        tw_hundredths(out, f->grey_b);
        tw_buffer_string(out, " of neutral");
    }
    if (line->print->image->damage.words != NULL) {
        char damage[TW_DAMAGE_TEXT];
        tw_buffer_print(out, "; damaged: %s", tw_damage_text(line->print->image, damage));
    }
    tw_buffer_string(out, "\n");
}

void tw_proof_text(const tw_job_data *job, const tw_proof_line *lines, size_t count,
                   const tw_icc_facts *papers, tw_buffer *out) {
    for (size_t i = 0; i < job->paper_count; i++)
        if (job->papers[i].converts)
            paper_words(out, &job->papers[i], &papers[i]);
    for (size_t i = 0; i < count; i++)
        print_words(out, job, &lines[i]);
    if (count > 0)
        tw_buffer_string(out,
                         "Out of gamut: printed more than 3 CIEDE2000 from what is wanted, by "
                         "relative colorimetric. Figures are of the proof's pixels, which stand "
                         "for the image's. Judge a proof on a profiled screen; a print "
                         "after dry-down, in the light it will hang in.\n");
}

/* ------------------------------------------------ JSON */

static void member(tw_buffer *out, const char *key, double value) {
    tw_buffer_print(out, ", \"%s\": ", key);
    tw_hundredths(out, value);
}

static void text_member(tw_buffer *out, const char *key, const char *value) {
    tw_buffer_print(out, ", \"%s\": ", key);
    tw_buffer_json_string(out, value);
}

void tw_lab_member(tw_buffer *out, const char *key, tw_lab lab) {
    tw_buffer_print(out, ", \"%s\": [", key);
    tw_hundredths(out, lab.l);
    tw_buffer_string(out, ", ");
    tw_hundredths(out, lab.a);
    tw_buffer_string(out, ", ");
    tw_hundredths(out, lab.b);
    tw_buffer_string(out, "]");
}

static void print_member(tw_buffer *out, const tw_job_data *job, const tw_proof_line *line) {
    const tw_proof_figures *f = &line->figures;
    tw_buffer_string(out, "{\"id\": ");
    tw_buffer_json_string(out, line->print->id);
    text_member(out, "image", line->print->line->image);
    text_member(out, "paper", job->papers[line->print->paper_index].name);
    text_member(out, "intent", tw_intent_words(line->print->intent));
    text_member(out, "proof", line->file);
    text_member(out, "map", line->map);
    member(out, "out_of_gamut_percent", f->share * 100);
    member(out, "mean", f->mean);
    member(out, "p95", f->most_below);
    member(out, "largest", f->worst);
    if (f->grey) {
        member(out, "grey_a", f->grey_a);
        member(out, "grey_b", f->grey_b);
    }
    tw_plan_damage_json(line->print->image, out);
    tw_buffer_string(out, "}");
}

void tw_proof_json(const tw_job_data *job, const tw_proof_line *lines, size_t count,
                   const tw_icc_facts *papers, tw_buffer *out) {
    const char *between = "";
    tw_buffer_string(out, "{\"trimwell\": 1, \"difference\": \"CIEDE2000\",\n \"papers\": [");
    for (size_t i = 0; i < job->paper_count; i++) {
        if (!job->papers[i].converts)
            continue;
        tw_buffer_print(out, "%s\n  {\"name\": ", between);
        tw_buffer_json_string(out, job->papers[i].name);
        text_member(out, "profile", job->papers[i].icc_name);
        tw_lab_member(out, "white", papers[i].white);
        tw_lab_member(out, "black", papers[i].black);
        tw_buffer_string(out, "}");
        between = ",";
    }
    tw_buffer_string(out, "],\n \"prints\": [");
    for (size_t i = 0; i < count; i++) {
        tw_buffer_string(out, i == 0 ? "\n  " : ",\n  ");
        print_member(out, job, &lines[i]);
    }
    tw_buffer_string(out, "]}\n");
}

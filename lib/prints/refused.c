/*
 * A size that a paper does not take, said once: at the first line that asks for it, with the
 * number of lines that follow.
 */
#include "prints/making.h"

static const tw_order *line_at(const tw_job_data *job, size_t index) {
    return index < job->order_count ? &job->orders[index] : &job->fillers[index - job->order_count];
}

static bool same_size(tw_size a, tw_size b) {
    return a.width == b.width && a.height == b.height;
}

/* Lines after this one that ask for the same size on the same paper. */
static size_t count_more(const tw_refused *refused, size_t index, const tw_print *print) {
    const tw_job_data *job = refused->job;
    size_t more = 0;
    for (size_t i = index + 1; i < job->order_count + job->filler_count; i++) {
        const tw_order *line = line_at(job, i);
        size_t image = refused->facts->of_line[i];
        tw_fitted fit;
        tw_error unheard;
        if (line->template_index != print->line->template_index ||
            line->paper_index != print->line->paper_index || image == SIZE_MAX)
            continue;
        const tw_image *facts = &refused->facts->images[image];
        if (tw_fit_image(print->format, facts->upright_width, facts->upright_height, &fit,
                         &unheard) == TW_OK)
            more += same_size(fit.size, print->fit.size);
    }
    return more;
}

bool tw_refused_first(tw_refused *refused, size_t index, const tw_print *print, tw_error *message) {
    const tw_order *line = print->line;
    for (size_t i = 0; i < refused->count; i++)
        if (refused->items[i].template_index == line->template_index &&
            refused->items[i].paper_index == line->paper_index &&
            same_size(refused->items[i].size, print->fit.size))
            return false;
    if (refused->count == TW_REFUSED_MOST)
        return true;
    refused->items[refused->count].template_index = line->template_index;
    refused->items[refused->count].paper_index = line->paper_index;
    refused->items[refused->count++].size = print->fit.size;
    size_t more = count_more(refused, index, print);
    if (more == 0)
        return true;
    tw_error said = *message;
    tw_fail(message, said.code, said.name, "%s; %zu more line%s ask%s for the same", said.message,
            more, more == 1 ? "" : "s", more == 1 ? "s" : "");
    tw_fail_hint(message, "%s", said.hint);
    return true;
}

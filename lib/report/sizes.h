/*
 * The table `trimwell sizes` prints.
 */
#ifndef TW_REPORT_SIZES_H
#define TW_REPORT_SIZES_H

#include "base/text.h"
#include "job/model.h"

/* Paper cost is the page's share of the paper's price, minor units rounded half up; what the
 * machine loses outside the pages is left out. */
TW_USE_RESULT tw_code tw_sizes_write(const tw_paper *paper, const tw_template *templates,
                                     size_t count, tw_buffer *out, tw_error *error);

#endif

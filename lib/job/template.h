/* One template of a set. Private to lib/job. */
#ifndef TW_JOB_TEMPLATE_H
#define TW_JOB_TEMPLATE_H

#include "job/readers.h"

/* false when it is not usable (reported); out->name may be set even so. */
bool tw_template_read(tw_reader *r, const tw_json_value *value, tw_template *out);

#endif

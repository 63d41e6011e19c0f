/* What a command says about what it found or did, as text for people. */
#ifndef CLI_ACCOUNT_H
#define CLI_ACCOUNT_H

#include "trimwell.h"

/* Each returns a malloc'ed text, NULL for want of memory. */
char *account_start(const char *folder);
char *account_check(tw_job *job);
char *account_compose(tw_job *job, const char *folder);

#endif

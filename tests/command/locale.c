/*
 * A program that follows its user's locale, as most with a window do: opens a job of four numbers
 * that are out of range and prints what the library says of them. Run as `locale JOB [LOCALE]`;
 * with a LOCALE that has no decimal comma it says so and ends with 2.
 */
#include <locale.h>
#include <stdio.h>
#include <string.h>

#include "trimwell.h"

int main(int count, char **words) {
    tw_job *job = NULL;
    tw_error error;
    char line[1400];
    if (count < 2)
        return 2;
    if (count > 2 &&
        (setlocale(LC_ALL, words[2]) == NULL || strcmp(localeconv()->decimal_point, ",") != 0)) {
        fprintf(stderr, "%s has no decimal comma here\n", words[2]);
        return 2;
    }
    if (tw_job_open(words[1], NULL, &job, &error) == TW_OK)
        (void)!tw_job_check(job, &error);
    for (size_t i = 0; i < tw_job_error_count(job); i++) {
        tw_error_text(tw_job_error(job, i), line, sizeof line);
        puts(line);
    }
    tw_job_close(job);
    return 0;
}

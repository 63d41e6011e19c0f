/*
 * Two shell commands in turn, A B A B ...: the median wall time of each, their ratio, the median
 * time the processors were busy with each (which says more where others share the machine), and
 * the peak resident memory of A's largest process. ratio RUNS A B. One warm-up each is not counted.
 */
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define MOST 99

static double busy(const struct rusage *usage) {
    return (double)(usage->ru_utime.tv_sec + usage->ru_stime.tv_sec) +
           (double)(usage->ru_utime.tv_usec + usage->ru_stime.tv_usec) / 1e6;
}

/* Wall time; *cpu is the processors'. */
static double run(const char *command, double *cpu, long *resident_kib) {
    struct timespec start, end;
    struct rusage usage;
    int status = 0;
    clock_gettime(CLOCK_MONOTONIC, &start);
    pid_t child = fork();
    if (child == 0) {
        execl("/bin/sh", "sh", "-c", command, (char *)NULL);
        _exit(127);
    }
    if (child < 0 || wait4(child, &status, 0, &usage) < 0 || status != 0) {
        fprintf(stderr, "ratio: this failed: %s\n", command);
        exit(1);
    }
    clock_gettime(CLOCK_MONOTONIC, &end);
    *cpu = busy(&usage);
    *resident_kib = usage.ru_maxrss > *resident_kib ? usage.ru_maxrss : *resident_kib;
    return (double)(end.tv_sec - start.tv_sec) + (double)(end.tv_nsec - start.tv_nsec) / 1e9;
}

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

int main(int count, char **words) {
    double a[MOST], b[MOST], busy_a[MOST], busy_b[MOST];
    long resident_a = 0, resident_b = 0;
    int runs = count == 4 ? atoi(words[1]) : 0;
    if (runs < 1 || runs > MOST) {
        fprintf(stderr, "usage: ratio RUNS COMMAND-A COMMAND-B\n");
        return 2;
    }
    run(words[2], busy_a, &resident_a);
    run(words[3], busy_b, &resident_b);
    for (int i = 0; i < runs; i++) {
        a[i] = run(words[2], &busy_a[i], &resident_a);
        b[i] = run(words[3], &busy_b[i], &resident_b);
    }
    qsort(a, (size_t)runs, sizeof *a, by_size);
    qsort(b, (size_t)runs, sizeof *b, by_size);
    qsort(busy_a, (size_t)runs, sizeof *busy_a, by_size);
    qsort(busy_b, (size_t)runs, sizeof *busy_b, by_size);
    printf("A: %s\nB: %s\n", words[2], words[3]);
    printf("A %.3f s (%.3f to %.3f), B %.3f s (%.3f to %.3f): A/B %.2f; peak resident A %.1f MiB\n",
           a[runs / 2], a[0], a[runs - 1], b[runs / 2], b[0], b[runs - 1],
           a[runs / 2] / b[runs / 2], (double)resident_a / 1024);
    printf("processors busy: A %.3f s, B %.3f s\n", busy_a[runs / 2], busy_b[runs / 2]);
    return 0;
}

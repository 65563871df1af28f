/* Preloaded before the program in tests: the computer's clock, and the disk, as a test wants them. Calls that write are
   counted over the whole process; the one whose turn it is fails, or the process ends before it. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <time.h>
#include <unistd.h>

static long number(const char *name) {
    const char *text = getenv(name);
    return text ? atol(text) : 0;
}

/* A test names the file that the count of calls goes to. */
static int calls;

static void tell(void) __attribute__((destructor));
static void tell(void) {
    const char *name = getenv("SHIM_COUNT");
    if (!name) return;
    FILE *file = fopen(name, "w");
    if (!file) return;
    fprintf(file, "%d\n", calls);
    fclose(file);
}

/* Whether it is this call's turn to fail. */
static int turn(void) {
    int now = __atomic_add_fetch(&calls, 1, __ATOMIC_SEQ_CST);
    if (number("SHIM_END_AT") == now) _exit(99);
    long from = number("SHIM_FAIL_AT");
    if (from == 0 || now < from) return 0;
    /* A full disk stays full; a slip happens once. */
    if (now > from && !getenv("SHIM_STAYS")) return 0;
    errno = getenv("SHIM_STAYS") ? ENOSPC : EIO;
    return 1;
}

#define REAL(name) __typeof__(&name) real = (__typeof__(&name))dlsym(RTLD_NEXT, #name)

/* Standard output and error are no files of the job. */
static int is_file(int fd) {
    struct stat found;
    return fd > 2 && fstat(fd, &found) == 0 && S_ISREG(found.st_mode);
}

ssize_t write(int fd, const void *bytes, size_t count) {
    REAL(write);
    return is_file(fd) && turn() ? -1 : real(fd, bytes, count);
}
ssize_t pwrite(int fd, const void *bytes, size_t count, off_t at) {
    REAL(pwrite);
    return is_file(fd) && turn() ? -1 : real(fd, bytes, count, at);
}
ssize_t pwrite64(int fd, const void *bytes, size_t count, off64_t at) {
    REAL(pwrite64);
    return is_file(fd) && turn() ? -1 : real(fd, bytes, count, at);
}
int fsync(int fd) {
    REAL(fsync);
    return turn() ? -1 : real(fd);
}
int fdatasync(int fd) {
    REAL(fdatasync);
    return turn() ? -1 : real(fd);
}
int rename(const char *from, const char *to) {
    REAL(rename);
    return turn() ? -1 : real(from, to);
}
int renameat(int a, const char *from, int b, const char *to) {
    REAL(renameat);
    return turn() ? -1 : real(a, from, b, to);
}
int renameat2(int a, const char *from, int b, const char *to, unsigned flags) {
    REAL(renameat2);
    return turn() ? -1 : real(a, from, b, to, flags);
}
int linkat(int a, const char *from, int b, const char *to, int flags) {
    REAL(linkat);
    return turn() ? -1 : real(a, from, b, to, flags);
}
int ftruncate(int fd, off_t size) {
    REAL(ftruncate);
    return turn() ? -1 : real(fd, size);
}
int ftruncate64(int fd, off64_t size) {
    REAL(ftruncate64);
    return turn() ? -1 : real(fd, size);
}
int mkdir(const char *path, mode_t mode) {
    REAL(mkdir);
    return turn() ? -1 : real(path, mode);
}

int clock_gettime(clockid_t which, struct timespec *moment) {
    REAL(clock_gettime);
    /* No clock at all: the program's own language stops at that, as at a fault of its own. */
    if (which == CLOCK_REALTIME && getenv("SHIM_NO_CLOCK")) {
        errno = EINVAL;
        return -1;
    }
    int done = real(which, moment);
    if (done == 0 && which == CLOCK_REALTIME && getenv("SHIM_CLOCK")) moment->tv_sec = number("SHIM_CLOCK");
    return done;
}

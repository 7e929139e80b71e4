/* Makes every flush late by FLUSH_DELAY_US microseconds, as a slow disk would. Loaded before the program:
   cc -O2 -shared -fPIC slow_flush.c -o slow_flush.so -ldl; LD_PRELOAD=./slow_flush.so FLUSH_DELAY_US=5000 … */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdlib.h>
#include <unistd.h>

static int slow(const char *name, int fd) {
    int (*real)(int) = (int (*)(int))dlsym(RTLD_NEXT, name);
    const char *delay = getenv("FLUSH_DELAY_US");
    if (delay) usleep((useconds_t)atoi(delay));
    return real(fd);
}

int fsync(int fd) { return slow("fsync", fd); }
int fdatasync(int fd) { return slow("fdatasync", fd); }

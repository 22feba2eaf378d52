/* Stands between a program and the system (LD_PRELOAD) and ends the program
 * at a chosen call that changes a file: the kill no timer can aim at.
 *
 *   CUT_AT=N      at the Nth such call, counted from 1; 0 or absent: never
 *   CUT_HOW=kill  end just before the call (as kill -9 would)
 *           tear  do half of a write, then end
 *           power end, and take back what was written and not yet synced: all
 *                 of it, or by CUT_SEED a part of it, as a cut of power may
 *           full  no end: this call and every later one that needs room fails
 *                 with "no space left on device"
 *           hold  no end: wait there for 0.7 s, so that others may come between
 *   CUT_COUNT=F   write the number of calls to the file F when the program ends
 *   CUT_TRACE=F   write each call to the file F as it is made
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <unistd.h>

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))
enum how { NEVER, KILL, TEAR, POWER, FULL, HOLD };

/* A write that is not synced yet, with what stood there before. */
struct unsynced {
  struct unsynced *before;
  dev_t dev;
  ino_t ino;
  int fd;
  off_t at, size_before;
  size_t length, old_length;
  char old[];
};

static long calls, cut_at;
static enum how how;
static unsigned long long seed;
static int trace = -1;
static struct unsynced *latest;
static pthread_mutex_t turn = PTHREAD_MUTEX_INITIALIZER;

static const char *given(const char *name) {
  const char *value = getenv(name);
  return value ? value : "";
}

__attribute__((constructor)) static void begin(void) {
  const char *word = given("CUT_HOW");
  cut_at = atol(given("CUT_AT"));
  seed = strtoull(given("CUT_SEED"), NULL, 10);
  how = !strcmp(word, "tear")    ? TEAR
        : !strcmp(word, "power") ? POWER
        : !strcmp(word, "full")  ? FULL
        : !strcmp(word, "hold")  ? HOLD
                                 : KILL;
  if (cut_at <= 0) how = NEVER;
  if (*given("CUT_TRACE"))
    trace = REAL(open)(given("CUT_TRACE"), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
}

__attribute__((destructor)) static void end(void) {
  const char *path = given("CUT_COUNT");
  char text[32];
  if (!*path) return;
  int fd = REAL(open)(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  int length = snprintf(text, sizeof text, "%ld\n", calls);
  if (fd >= 0 && REAL(write)(fd, text, (size_t)length) == length) close(fd);
}

static void note(const char *call, const char *what) {
  char line[4200];
  if (trace < 0) return;
  int length = snprintf(line, sizeof line, "%s %s\n", call, what);
  if (REAL(write)(trace, line, (size_t)length) < 0) trace = -1;
}

static void note_fd(const char *call, int fd) {
  char link[64], path[4097];
  if (trace < 0) return;
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, sizeof path - 1);
  if (length < 0) return;
  path[length] = 0;
  note(call, path);
}

static int coin(void) {
  seed ^= seed << 13, seed ^= seed >> 7, seed ^= seed << 17;
  return (int)(seed & 1);
}

/* The disk as it may be found after the power has come back. */
static void take_back(void) {
  int all = seed == 0 || coin();
  for (struct unsynced *one = latest; one; one = one->before) {
    if (!all && coin()) continue;
    if (REAL(pwrite)(one->fd, one->old, one->old_length, one->at) < 0) continue;
    if (all && REAL(ftruncate)(one->fd, one->size_before) < 0) continue;
  }
}

static void finish(void) {
  if (how == POWER) take_back();
  kill(getpid(), SIGKILL);
  for (;;) pause();
}

/* Counts a call; ends here when it is the one. 1: fail it, the disk is full. */
static int counted(void) {
  long number = ++calls;
  if (how == FULL) return number >= cut_at;
  if (how == HOLD && number == cut_at) usleep(700000);
  if (how != NEVER && how != TEAR && how != HOLD && number == cut_at) finish();
  return 0;
}

static void remember(int fd, off_t at, size_t length) {
  struct stat now;
  if (how != POWER || fstat(fd, &now) || !S_ISREG(now.st_mode)) return;
  char link[64];
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  int whole = REAL(open)(link, O_RDWR | O_CLOEXEC);
  struct unsynced *one = calloc(1, sizeof *one + length);
  if (!one || whole < 0) return;
  /* The second descriptor is never closed: that would drop SQLite's locks. */
  one->fd = whole, one->dev = now.st_dev, one->ino = now.st_ino;
  one->at = at, one->size_before = now.st_size, one->length = length;
  ssize_t got = pread(whole, one->old, length, at);
  one->old_length = got < 0 ? 0 : (size_t)got;
  one->before = latest, latest = one;
}

static void synced(int fd) {
  struct stat now;
  if (how != POWER || fstat(fd, &now)) return;
  for (struct unsynced **one = &latest; *one;) {
    if ((*one)->dev == now.st_dev && (*one)->ino == now.st_ino)
      *one = (*one)->before;
    else
      one = &(*one)->before;
  }
}

/* Half of a write, then the end, when this is the call. */
#define TORN(call_half)                                  \
  if (how == TEAR && calls == cut_at) {                  \
    if ((call_half) < 0) errno = 0;                      \
    finish();                                            \
  }
#define NO_ROOM(answer)           \
  {                               \
    pthread_mutex_unlock(&turn);  \
    errno = ENOSPC;               \
    return answer;                \
  }

/* Files and what is printed count; sockets and the like do not. */
static int passes(int fd) {
  struct stat now;
  return fd != 1 && (fstat(fd, &now) || !S_ISREG(now.st_mode));
}

ssize_t write(int fd, const void *from, size_t length) {
  if (passes(fd)) return REAL(write)(fd, from, length);
  pthread_mutex_lock(&turn);
  note_fd("write", fd);
  int full = counted();
  if (full && fd > 2) NO_ROOM(-1)
  TORN(REAL(write)(fd, from, length / 2))
  if (how == POWER) remember(fd, lseek(fd, 0, SEEK_CUR), length);
  ssize_t done = REAL(write)(fd, from, length);
  pthread_mutex_unlock(&turn);
  return done;
}

ssize_t pwrite64(int fd, const void *from, size_t length, off64_t at) {
  pthread_mutex_lock(&turn);
  note_fd("write", fd);
  if (counted()) NO_ROOM(-1)
  TORN(REAL(pwrite)(fd, from, length / 2, at))
  remember(fd, at, length);
  ssize_t done = REAL(pwrite)(fd, from, length, at);
  pthread_mutex_unlock(&turn);
  return done;
}

int ftruncate64(int fd, off64_t size) {
  struct stat now;
  pthread_mutex_lock(&turn);
  note_fd("truncate", fd);
  counted();
  TORN(0)
  if (how == POWER && !fstat(fd, &now) && now.st_size > size)
    remember(fd, size, (size_t)(now.st_size - size));
  int done = REAL(ftruncate)(fd, size);
  pthread_mutex_unlock(&turn);
  return done;
}

static int sync_by(int (*real)(int), int fd) {
  pthread_mutex_lock(&turn);
  note_fd("sync", fd);
  if (counted()) NO_ROOM(-1)
  TORN(0)
  int done = real(fd);
  if (done == 0) synced(fd);
  pthread_mutex_unlock(&turn);
  return done;
}
int fsync(int fd) { return sync_by(REAL(fsync), fd); }
int fdatasync(int fd) { return sync_by(REAL(fdatasync), fd); }

int rename(const char *from, const char *to) {
  pthread_mutex_lock(&turn);
  note("rename", to);
  counted();
  TORN(0)
  int done = REAL(rename)(from, to);
  pthread_mutex_unlock(&turn);
  return done;
}

int unlink(const char *path) {
  pthread_mutex_lock(&turn);
  note("unlink", path);
  counted();
  TORN(0)
  int done = REAL(unlink)(path);
  pthread_mutex_unlock(&turn);
  return done;
}

int linkat(int in, const char *from, int into, const char *to, int flags) {
  pthread_mutex_lock(&turn);
  note("link", to);
  if (counted()) NO_ROOM(-1)
  TORN(0)
  int done = REAL(linkat)(in, from, into, to, flags);
  pthread_mutex_unlock(&turn);
  return done;
}

int open64(const char *path, int flags, ...) {
  mode_t mode = 0;
  if (flags & (O_CREAT | O_TMPFILE)) {
    va_list rest;
    va_start(rest, flags);
    mode = va_arg(rest, mode_t);
    va_end(rest);
  }
  struct stat there;
  int makes = (flags & O_CREAT) && stat(path, &there) != 0;
  int empties = (flags & O_TRUNC) != 0;
  pthread_mutex_lock(&turn);
  if (makes || empties) {
    note("open", path);
    if (counted()) NO_ROOM(-1)
    TORN(0)
  }
  int fd = REAL(open)(path, flags, mode);
  pthread_mutex_unlock(&turn);
  return fd;
}

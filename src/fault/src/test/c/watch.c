/*
 * Stands between a program and libc (LD_PRELOAD) and watches what it does to the files under one
 * folder: writes it into a trace, lets the n-th operation fail, moves the wall clock. One lock is
 * held over an operation and its trace entry, so that the trace has the order of the disk.
 */
#define _GNU_SOURCE
#include "watch.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/time.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

#define FILES 65536

/* The paths of open files we watch; kept for ever, since another thread may be using one. */
static const char *names[FILES];
static unsigned char kinds[FILES];

/* Resolves the function that comes after ours. The union is how C99 may turn one into a function. */
#define REAL(result, name, ...)                       \
  static union {                                      \
    void *object;                                     \
    result (*function)(__VA_ARGS__);                  \
  } real;                                             \
  if (real.object == NULL) {                          \
    real.object = dlsym(RTLD_NEXT, #name);            \
  }

static enum watched kind_of(int fd) {
  return control != NULL && fd >= 0 && fd < FILES ? (enum watched)kinds[fd] : NOT;
}

static void forget(int fd) {
  if (fd >= 0 && fd < FILES) kinds[fd] = NOT;
}

/* Remembers what an open gave us, by its real path: a link to a terminal is a terminal. */
static void remember(int fd, const char *path, int existed, int flags) {
  if (fd < 0 || fd >= FILES || control == NULL) {
    return;
  }
  char link[64];
  char whole[PATH_MAX];
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, whole, sizeof whole - 1);
  if (length < 0) {
    watch_absolute(whole, sizeof whole, path);
  } else {
    whole[length] = '\0';
  }
  enum watched kind = watch_kind(whole);
  forget(fd);
  if (kind != NOT) {
    names[fd] = strdup(whole);
    kinds[fd] = (unsigned char)kind;
    if (kind == FILE_OR_FOLDER) {
      int64_t how = ((flags & O_CREAT) && !existed ? 1 : 0) | (flags & O_TRUNC ? 2 : 0);
      watch_trace('O', whole, how, "", 0);
    }
  }
}

static int exists(const char *path) {
  struct stat found;
  return fstatat(AT_FDCWD, path, &found, 0) == 0;
}

/* The open functions differ in how they get folder and mode; the rest is here. */
#define OPENING(path, flags, call)                             \
  enum watched kind = watch_kind(path);                        \
  if (control == NULL) {                                       \
    return call;                                               \
  }                                                            \
  watch_lock();                                                \
  int error = kind == FILE_OR_FOLDER ? watch_fails(OPEN, path) : 0; \
  int fd = -1;                                                 \
  if (error != 0) {                                            \
    errno = error;                                             \
  } else {                                                     \
    int existed = kind == NOT || exists(path);                 \
    fd = call;                                                 \
    int kept = errno;                                          \
    remember(fd, path, existed, flags);                        \
    errno = kept;                                              \
  }                                                            \
  watch_unlock();                                              \
  return fd;

#define MODE(flags)                                            \
  mode_t mode = 0;                                             \
  if ((flags) & (O_CREAT | __O_TMPFILE)) {                     \
    va_list more;                                              \
    va_start(more, flags);                                     \
    mode = va_arg(more, mode_t);                               \
    va_end(more);                                              \
  }

#define OPEN_FUNCTION(name)                                    \
  int name(const char *path, int flags, ...) {                 \
    REAL(int, name, const char *, int, ...)                    \
    MODE(flags)                                                \
    OPENING(path, flags, real.function(path, flags, mode))     \
  }
OPEN_FUNCTION(open)
OPEN_FUNCTION(open64)

#define OPENAT_FUNCTION(name)                                        \
  int name(int at, const char *path, int flags, ...) {               \
    REAL(int, name, int, const char *, int, ...)                     \
    MODE(flags)                                                      \
    if (at != AT_FDCWD && path[0] != '/') {                          \
      return real.function(at, path, flags, mode);                   \
    }                                                                \
    OPENING(path, flags, real.function(at, path, flags, mode))       \
  }
OPENAT_FUNCTION(openat)
OPENAT_FUNCTION(openat64)

#define MAKE (O_CREAT | O_WRONLY | O_TRUNC)
int creat(const char *path, mode_t mode) { return open(path, MAKE, mode); }
int creat64(const char *path, mode_t mode) { return open64(path, MAKE, mode); }
int __open_2(const char *path, int flags) { return open(path, flags); }
int __open64_2(const char *path, int flags) { return open64(path, flags); }

int close(int fd) {
  REAL(int, close, int)
  forget(fd);
  return real.function(fd);
}

int dup2(int from, int to) {
  REAL(int, dup2, int, int)
  forget(to);
  return real.function(from, to);
}

/* Writes to a watched file; at is negative where the file's own position counts. */
static ssize_t put(int fd, const char *bytes, size_t length, int64_t at) {
  REAL(ssize_t, pwrite64, int, const void *, size_t, off64_t)
  static ssize_t (*plain)(int, const void *, size_t);
  if (plain == NULL) {
    union { void *object; ssize_t (*function)(int, const void *, size_t); } find;
    find.object = dlsym(RTLD_NEXT, "write");
    plain = find.function;
  }
  enum watched kind = kind_of(fd);
  if (kind == NOT) return errno = EBADF, -1; /* somebody closed it since */
  const char *path = names[fd];
  watch_lock();
  int64_t where = at;
  if (kind == FILE_OR_FOLDER && at < 0) {
    int append = (fcntl(fd, F_GETFL) & O_APPEND) != 0;
    where = lseek(fd, 0, append ? SEEK_END : SEEK_CUR);
  }
  int error = kind == FILE_OR_FOLDER ? watch_fails(WRITE, path) : 0;
  size_t part = error == 0 ? length : control->torn ? length / 2 : 0;
  ssize_t done = 0;
  if (error == 0 || part > 0) {
    done = at < 0 ? plain(fd, bytes, part) : real.function(fd, bytes, part, at);
  }
  int kept = error == 0 ? errno : error;
  if (done > 0) {
    char what = kind == TERMINAL ? 'Y' : kind == MARKS ? 'A' : 'W';
    watch_trace(what, path, where, bytes, (uint32_t)done);
  } else if (done < 0 && error == 0) {
    watch_trace_failure(WRITE, path, kept);
  }
  watch_unlock();
  errno = kept;
  return error == 0 ? done : -1;
}

static ssize_t put_all(int fd, const struct iovec *parts, int count, int64_t at) {
  size_t length = 0;
  for (int i = 0; i < count; i++) {
    length += parts[i].iov_len;
  }
  char *bytes = malloc(length + 1);
  if (bytes == NULL) {
    errno = ENOMEM;
    return -1;
  }
  size_t end = 0;
  for (int i = 0; i < count; end += parts[i].iov_len, i++) {
    memcpy(bytes + end, parts[i].iov_base, parts[i].iov_len);
  }
  ssize_t done = put(fd, bytes, length, at);
  free(bytes);
  return done;
}

ssize_t write(int fd, const void *bytes, size_t length) {
  REAL(ssize_t, write, int, const void *, size_t)
  return kind_of(fd) == NOT ? real.function(fd, bytes, length) : put(fd, bytes, length, -1);
}

ssize_t writev(int fd, const struct iovec *parts, int count) {
  REAL(ssize_t, writev, int, const struct iovec *, int)
  return kind_of(fd) == NOT ? real.function(fd, parts, count) : put_all(fd, parts, count, -1);
}

#define PWRITE_FUNCTION(name, offset)                                                      \
  ssize_t name(int fd, const void *bytes, size_t length, offset at) {                      \
    REAL(ssize_t, name, int, const void *, size_t, offset)                                 \
    return kind_of(fd) == NOT ? real.function(fd, bytes, length, at) : put(fd, bytes, length, at); \
  }
PWRITE_FUNCTION(pwrite, off_t)
PWRITE_FUNCTION(pwrite64, off64_t)

#define PWRITEV_FUNCTION(name, offset)                                                     \
  ssize_t name(int fd, const struct iovec *parts, int count, offset at) {                  \
    REAL(ssize_t, name, int, const struct iovec *, int, offset)                            \
    return kind_of(fd) == NOT ? real.function(fd, parts, count, at) : put_all(fd, parts, count, at); \
  }
PWRITEV_FUNCTION(pwritev, off_t)
PWRITEV_FUNCTION(pwritev64, off64_t)

/* An operation on an open file that only fails, or is done and perhaps traced. */
#define ON_FILE(class, otherwise, call, trace)                 \
  if (kind_of(fd) != FILE_OR_FOLDER) {                         \
    return call;                                               \
  }                                                            \
  watch_lock();                                                \
  const char *path = names[fd];                                \
  int error = watch_fails(class, path);                        \
  if (error != 0) {                                            \
    watch_unlock();                                            \
    errno = error;                                             \
    return otherwise;                                          \
  }                                                            \
  __typeof__(call) done = call;                                \
  int kept = errno;                                            \
  if (done != (otherwise)) {                                   \
    trace;                                                     \
  } else {                                                     \
    watch_trace_failure(class, path, kept);                    \
  }                                                            \
  watch_unlock();                                              \
  errno = kept;                                                \
  return done;

static int folder(int fd) {
  struct stat found;
  return fstat(fd, &found) == 0 && S_ISDIR(found.st_mode);
}

#define SYNC_FUNCTION(name)                                                     \
  int name(int fd) {                                                            \
    REAL(int, name, int)                                                        \
    ON_FILE(SYNC, -1,                                                           \
        (control != NULL && control->idle && kind_of(fd) != NOT ? 0 : real.function(fd)), \
        watch_trace(folder(fd) ? 'D' : 'S', path, 0, "", 0))                    \
  }
SYNC_FUNCTION(fsync)
SYNC_FUNCTION(fdatasync)

#define FTRUNCATE_FUNCTION(name, offset)                                        \
  int name(int fd, offset length) {                                             \
    REAL(int, name, int, offset)                                                \
    ON_FILE(TRUNCATE, -1, real.function(fd, length), watch_trace('T', path, length, "", 0)) \
  }
FTRUNCATE_FUNCTION(ftruncate, off_t)
FTRUNCATE_FUNCTION(ftruncate64, off64_t)

ssize_t read(int fd, void *into, size_t length) {
  REAL(ssize_t, read, int, void *, size_t)
  ON_FILE(READ, -1, real.function(fd, into, length), (void)0)
}

#define PREAD_FUNCTION(name, offset)                                            \
  ssize_t name(int fd, void *into, size_t length, offset at) {                  \
    REAL(ssize_t, name, int, void *, size_t, offset)                            \
    ON_FILE(READ, -1, real.function(fd, into, length, at), (void)0)             \
  }
PREAD_FUNCTION(pread, off_t)
PREAD_FUNCTION(pread64, off64_t)

#define MMAP_FUNCTION(name, offset)                                             \
  void *name(void *where, size_t length, int protection, int flags, int fd, offset at) { \
    REAL(void *, name, void *, size_t, int, int, int, offset)                   \
    ON_FILE(MAP, MAP_FAILED, real.function(where, length, protection, flags, fd, at), \
        watch_trace('M', path, at, "", 0))                                      \
  }
MMAP_FUNCTION(mmap, off_t)
MMAP_FUNCTION(mmap64, off64_t)

/* An operation on a name. */
#define ON_NAME(given, class, call, trace)                     \
  char path[2 * PATH_MAX];                                     \
  if (watch_kind(given) != FILE_OR_FOLDER) {                   \
    return call;                                               \
  }                                                            \
  watch_absolute(path, sizeof path, given);                    \
  watch_lock();                                                \
  int error = watch_fails(class, path);                        \
  int done = -1;                                               \
  int kept = error;                                            \
  if (error == 0) {                                            \
    done = call;                                               \
    kept = errno;                                              \
    if (done == 0) {                                           \
      trace;                                                   \
    }                                                          \
  }                                                            \
  watch_unlock();                                              \
  errno = kept;                                                \
  return done;

int unlink(const char *name) {
  REAL(int, unlink, const char *)
  ON_NAME(name, NAME, real.function(name), watch_trace('U', path, 0, "", 0))
}

int mkdir(const char *name, mode_t mode) {
  REAL(int, mkdir, const char *, mode_t)
  ON_NAME(name, NAME, real.function(name, mode), watch_trace('K', path, 0, "", 0))
}

int rename(const char *from, const char *to) {
  REAL(int, rename, const char *, const char *)
  char target[2 * PATH_MAX];
  watch_absolute(target, sizeof target, to);
  ON_NAME(from, NAME, real.function(from, to),
      watch_trace('R', path, 0, target, (uint32_t)strlen(target)))
}

#define TRUNCATE_FUNCTION(name, offset)                                         \
  int name(const char *file, offset length) {                                   \
    REAL(int, name, const char *, offset)                                       \
    ON_NAME(file, TRUNCATE, real.function(file, length), watch_trace('T', path, length, "", 0)) \
  }
TRUNCATE_FUNCTION(truncate, off_t)
TRUNCATE_FUNCTION(truncate64, off64_t)

/* A disk of the size that was asked for, full once operations fail for ever for want of space. */
#define STATVFS_FUNCTION(name, result)                                          \
  static int name##_of(const char *file, struct result *into) {                 \
    REAL(int, name, const char *, struct result *)                              \
    ON_NAME(file, SPACE, real.function(file, into), (void)0)                    \
  }                                                                             \
  int name(const char *file, struct result *into) {                             \
    int done = name##_of(file, into);                                           \
    if (done == 0 && watch_kind(file) == FILE_OR_FOLDER) {                      \
      if (control->total > 0) {                                                 \
        into->f_blocks = (unsigned long)control->total / into->f_frsize;        \
        into->f_bavail = into->f_blocks;                                        \
      }                                                                         \
      if (control->armed && control->forever && control->error == ENOSPC && control->failed > 0) { \
        into->f_bavail = 0;                                                     \
      }                                                                         \
    }                                                                           \
    return done;                                                                \
  }
STATVFS_FUNCTION(statvfs, statvfs)
STATVFS_FUNCTION(statvfs64, statvfs64)

int clock_gettime(clockid_t clock, struct timespec *into) {
  REAL(int, clock_gettime, clockid_t, struct timespec *)
  int done = real.function(clock, into);
  if (done == 0 && control != NULL && control->clock != 0 &&
      (clock == CLOCK_REALTIME || clock == CLOCK_REALTIME_COARSE)) {
    int64_t nanos = (int64_t)into->tv_sec * 1000000000 + into->tv_nsec + control->clock;
    nanos = nanos < 0 ? 0 : nanos;
    into->tv_sec = nanos / 1000000000;
    into->tv_nsec = nanos % 1000000000;
  }
  return done;
}

int gettimeofday(struct timeval *into, void *zone) {
  struct timespec now;
  (void)zone;
  int done = clock_gettime(CLOCK_REALTIME, &now);
  into->tv_sec = now.tv_sec;
  into->tv_usec = now.tv_nsec / 1000;
  return done;
}

time_t time(time_t *into) {
  struct timespec now;
  clock_gettime(CLOCK_REALTIME, &now);
  if (into != NULL) {
    *into = now.tv_sec;
  }
  return now.tv_sec;
}

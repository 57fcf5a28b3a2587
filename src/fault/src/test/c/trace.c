/* The watcher's control file, its trace, and which paths it watches. */
#define _GNU_SOURCE
#include "watch.h"

#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

struct control *control;

static pthread_mutex_t gate = PTHREAD_MUTEX_INITIALIZER;
static char folder[PATH_MAX];
static size_t folder_length;
static int trace_file = -1;
static int terminals;

void watch_lock(void) { pthread_mutex_lock(&gate); }

void watch_unlock(void) { pthread_mutex_unlock(&gate); }

/* System calls, not functions: these are ours, and may run before anything is resolved. */
static int raw_open(const char *path, int flags) {
  return (int)syscall(SYS_openat, AT_FDCWD, path, flags | O_CLOEXEC, 0600);
}

static void need(int yes, const char *what) {
  if (!yes) {
    fprintf(stderr, "watch: %s does not work, so this process ends\n", what);
    _exit(97);
  }
}

__attribute__((constructor)) static void begin(void) {
  const char *under = getenv("TALLYWIRE_WATCH_FOLDER");
  const char *map = getenv("TALLYWIRE_WATCH_CONTROL");
  const char *trace = getenv("TALLYWIRE_WATCH_TRACE");
  if (under == NULL || map == NULL) {
    return;
  }
  need(strlen(under) < sizeof folder, "TALLYWIRE_WATCH_FOLDER");
  strcpy(folder, under);
  folder_length = strlen(folder);
  terminals = getenv("TALLYWIRE_WATCH_TERMINALS") != NULL;
  if (trace != NULL) {
    trace_file = raw_open(trace, O_WRONLY | O_CREAT | O_APPEND);
    need(trace_file >= 0, "TALLYWIRE_WATCH_TRACE");
  }
  int file = raw_open(map, O_RDWR);
  need(file >= 0, "TALLYWIRE_WATCH_CONTROL");
  void *mapped = mmap(NULL, sizeof *control, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
  need(mapped != MAP_FAILED, "TALLYWIRE_WATCH_CONTROL");
  syscall(SYS_close, file);
  control = mapped;
}

void watch_absolute(char *into, size_t size, const char *path) {
  if (path[0] == '/') {
    snprintf(into, size, "%s", path);
    return;
  }
  char here[PATH_MAX];
  if (getcwd(here, sizeof here) == NULL) {
    here[0] = '\0';
  }
  snprintf(into, size, "%s/%s", here, path);
}

enum watched watch_kind(const char *path) {
  if (control == NULL) {
    return NOT;
  }
  if (terminals && (strncmp(path, "/dev/pts/", 9) == 0 || strncmp(path, "/dev/tty", 8) == 0)) {
    return TERMINAL;
  }
  char whole[2 * PATH_MAX];
  watch_absolute(whole, sizeof whole, path);
  if (strncmp(whole, folder, folder_length) != 0 ||
      (whole[folder_length] != '/' && whole[folder_length] != '\0')) {
    return NOT;
  }
  const char *last = strrchr(whole, '/');
  return strcmp(last, "/marks") == 0 ? MARKS : FILE_OR_FOLDER;
}

int watch_fails(uint8_t class, const char *path) {
  if (!control->armed || !(control->classes & class)) {
    return 0;
  }
  uint64_t number = ++control->counted;
  if (number != control->at && !(control->forever && number > control->at)) {
    return 0;
  }
  control->failed++;
  watch_trace_failure(class, path, control->error);
  return control->error;
}

static int all_zero(const char *bytes, uint32_t length) {
  return length > 0 && bytes[0] == 0 && memcmp(bytes, bytes + 1, length - 1) == 0;
}

static void emit(struct entry *head, const char *path, const void *bytes, uint32_t length) {
  if (trace_file < 0 || !control->tracing) {
    return;
  }
  struct timespec now;
  syscall(SYS_clock_gettime, CLOCK_MONOTONIC, &now);
  head->nanos = (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
  head->path = (uint16_t)strlen(path);
  struct iovec parts[3] = {
      {head, sizeof *head}, {(void *)path, head->path}, {(void *)bytes, length}};
  ssize_t want = (ssize_t)(sizeof *head + head->path + length);
  need(syscall(SYS_writev, trace_file, parts, 3) == want, "the trace");
}

void watch_trace(char what, const char *path, int64_t at, const void *bytes, uint32_t length) {
  struct entry head = {.what = (uint8_t)what, .at = at, .length = length};
  const char *last = strrchr(path, '/');
  if (what == 'W' && (all_zero(bytes, length) || strcmp(last, "/reserve") == 0)) {
    head.what = 'Z';
    length = 0;
  }
  emit(&head, path, bytes, length);
}

void watch_trace_failure(uint8_t class, const char *path, int error) {
  struct entry head = {.what = 'F', .class = class, .error = error};
  emit(&head, path, "", 0);
}

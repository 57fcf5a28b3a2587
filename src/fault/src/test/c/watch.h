/*
 * What the watcher of file operations shares between its two files, and with Java (Watch.java
 * and Trace.java hold the same layouts).
 */
#ifndef WATCH_H
#define WATCH_H

#include <stdint.h>
#include <sys/types.h>

enum { OPEN = 1, WRITE = 2, TRUNCATE = 4, SYNC = 8, NAME = 16, MAP = 32, READ = 64, SPACE = 128 };

/* The file of TALLYWIRE_WATCH_CONTROL, mapped; the test writes it while we run. */
struct control {
  uint32_t armed;     /* 0: nothing fails and nothing is counted */
  uint32_t classes;   /* the operations that count, a sum of the words above */
  uint64_t at;        /* the operation that fails, from 1 */
  uint32_t forever;   /* all after it fail as well */
  int32_t error;      /* the errno */
  uint32_t torn;      /* half of a write that fails is written */
  uint32_t tracing;   /* operations go into the trace */
  uint32_t idle;      /* a sync is traced but not done, which is faster */
  uint32_t spare;
  uint64_t counted;   /* operations since this was set to 0 */
  uint64_t failed;    /* how many of them we let fail */
  int64_t total;      /* size that statvfs reports for the file system; 0: the truth */
  int64_t clock;      /* nanoseconds added to the wall clock */
};

/* One entry of the trace: this, the path without a zero, the bytes. */
struct entry {
  uint8_t what;       /* see Trace.java */
  uint8_t class;      /* of an operation that failed */
  uint16_t path;      /* length of the path */
  int32_t error;      /* its errno */
  int64_t at;         /* where in the file, or the new length */
  uint32_t length;    /* of the bytes; they are left out where they are zeros or the reserve */
  uint32_t spare;
  int64_t nanos;      /* CLOCK_MONOTONIC */
};

extern struct control *control;

enum watched { NOT = 0, FILE_OR_FOLDER, TERMINAL, MARKS };

void watch_lock(void);
void watch_unlock(void);
/* Which kind a path is; the path may be relative. */
enum watched watch_kind(const char *path);
/* Fills in the absolute form of a path that may be relative. */
void watch_absolute(char *into, size_t size, const char *path);
/* Counts an operation; returns the errno with which it shall fail, or 0. Under the lock. */
int watch_fails(uint8_t class, const char *path);
/* Writes an entry into the trace. Under the lock. */
void watch_trace(char what, const char *path, int64_t at, const void *bytes, uint32_t length);
void watch_trace_failure(uint8_t class, const char *path, int error);

#endif

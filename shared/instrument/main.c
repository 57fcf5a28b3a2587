/*
 * The instrument on a POSIX system, with invented readings: for trials of a
 * bridge without hardware. On a microcontroller this file is replaced.
 */
#define _XOPEN_SOURCE 600

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include "instrument.h"

#define LINE_STUCK_MS 500 /* a line that takes nothing for so long loses bytes */

static instrument device; /* the only big thing; static, as on a microcontroller */
static int listener = -1, line_fd = -1, pty_slave = -1;
static volatile sig_atomic_t stopped;

static void stop(int signal_number) {
  (void)signal_number;
  stopped = 1;
}

static void fail(const char *what) {
  fprintf(stderr, "instrument: %s: %s\n", what, errno != 0 ? strerror(errno) : "not valid");
  exit(2);
}

/* ---- the three functions of the platform ---- */

static uint32_t millis(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (uint32_t)((uint64_t)now.tv_sec * 1000u + (uint64_t)now.tv_nsec / 1000000u);
}

static void time_of_day(char text[TIME_ROOM]) {
  struct timespec now;
  struct tm utc;
  clock_gettime(CLOCK_REALTIME, &now);
  gmtime_r(&now.tv_sec, &utc);
  strftime(text, TIME_ROOM, "%Y-%m-%dT%H:%M:%S", &utc);
  text[19] = '.';
  for (int i = 22, ms = (int)(now.tv_nsec / 1000000); i > 19; i--, ms /= 10) {
    text[i] = (char)('0' + ms % 10);
  }
  text[23] = 'Z';
  text[24] = '\0';
}

/* Bytes that cannot be sent are lost, as on any line; the protocol makes it good. */
static void put_bytes(const char *bytes, size_t count) {
  while (count > 0 && line_fd >= 0) {
    ssize_t done = write(line_fd, bytes, count);
    if (done >= 0) {
      bytes += done;
      count -= (size_t)done;
    } else if (errno == EAGAIN) {
      struct pollfd ready = {line_fd, POLLOUT, 0};
      if (poll(&ready, 1, LINE_STUCK_MS) == 0) return;
    } else if (errno != EINTR) {
      return;
    }
  }
}

/* ---- invented readings ---- */

static uint32_t dice; /* xorshift; seeded with the boot id */

static int32_t throw_dice(int32_t least, int32_t most) {
  dice ^= dice << 13;
  dice ^= dice >> 17;
  dice ^= dice << 5;
  return least + (int32_t)(dice % (uint32_t)(most - least + 1));
}

static const instrument_channel CHANNEL_LIST[] = {
    {1, "turns-ratio", "1", "0.0001", "0.8", "15000"},
    {2, "excitation-current", "mA", NULL, NULL, NULL},
    {3, "phase-displacement", "deg", NULL, NULL, NULL},
    {4, "test-voltage", "V", NULL, NULL, NULL},
};

/* A tap changer of 17 positions, 1.25 % each, phase after phase. */
static void invent_reading(uint32_t count) {
  static const char *const PHASES[] = {"A", "B", "C"};
  instrument_reading r;
  memset(&r, 0, sizeof r);
  r.test = "turns-ratio";
  r.windings = "HV-LV";
  r.phase = PHASES[count / 17 % 3];
  r.tap = (uint8_t)(count % 17 + 1);
  r.status = throw_dice(1, 40) == 1 ? STATUS_NOT_SETTLED : STATUS_OK;
  int32_t nominal = 433 * (1100 - 125 * (r.tap - 1) / 10);
  r.values[0] = (instrument_value){nominal + throw_dice(-120, 120), 4, VALUE_NUMBER};
  r.values[1] = (instrument_value){throw_dice(405, 460), 2, VALUE_NUMBER};
  if (throw_dice(1, 25) == 1) r.values[1].sort = VALUE_OVER_RANGE;
  r.values[2] = (instrument_value){throw_dice(-4, 9), 2, VALUE_NUMBER};
  r.values[3] = (instrument_value){throw_dice(3996, 4004), 2, VALUE_NUMBER};
  if (!instrument_store(&device, &r)) fail("a reading does not fit into a line");
}

/* ---- lines: TCP and pseudo-terminal ---- */

static void do_not_block(int fd) {
  if (fcntl(fd, F_SETFL, fcntl(fd, F_GETFL) | O_NONBLOCK) < 0) fail("fcntl");
}

static void listen_tcp(int port) {
  struct sockaddr_in address;
  socklen_t size = sizeof address;
  int on = 1;
  memset(&address, 0, sizeof address);
  address.sin_family = AF_INET;
  address.sin_port = htons((uint16_t)port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  listener = socket(AF_INET, SOCK_STREAM, 0);
  setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
  if (bind(listener, (struct sockaddr *)&address, size) < 0) fail("bind");
  if (listen(listener, 4) < 0) fail("listen");
  if (getsockname(listener, (struct sockaddr *)&address, &size) < 0) fail("getsockname");
  do_not_block(listener);
  printf("ready tcp 127.0.0.1:%d\n", ntohs(address.sin_port));
}

static void open_pty(void) {
  struct termios raw;
  line_fd = posix_openpt(O_RDWR | O_NOCTTY);
  if (line_fd < 0 || grantpt(line_fd) < 0 || unlockpt(line_fd) < 0) fail("posix_openpt");
  pty_slave = open(ptsname(line_fd), O_RDWR | O_NOCTTY); /* stays open: no end between clients */
  if (pty_slave < 0 || tcgetattr(pty_slave, &raw) < 0) fail("pty");
  raw.c_iflag = 0; /* L-11: no echo, nothing translated */
  raw.c_oflag = 0;
  raw.c_lflag = 0;
  raw.c_cc[VMIN] = 1;
  raw.c_cc[VTIME] = 0;
  if (tcsetattr(pty_slave, TCSANOW, &raw) < 0) fail("tcsetattr");
  do_not_block(line_fd);
  printf("ready pty %s\n", ptsname(line_fd));
}

static void drop_client(void) {
  close(line_fd);
  line_fd = -1;
  instrument_line_lost(&device);
}

/* One client; a new one takes the place of the old, which may be long dead. */
static void take_client(void) {
  static bool announced;
  int on = 1, client = accept(listener, NULL, NULL);
  if (client < 0) return;
  if (line_fd >= 0) drop_client();
  line_fd = client;
  do_not_block(line_fd);
  setsockopt(line_fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
  if (!announced) instrument_announce(&device);
  announced = true;
}

static void receive(void) {
  uint8_t bytes[256];
  ssize_t count = read(line_fd, bytes, sizeof bytes);
  if (count > 0) {
    instrument_receive(&device, bytes, (size_t)count);
  } else if (listener >= 0 && (count == 0 || (errno != EAGAIN && errno != EINTR))) {
    drop_client();
  }
}

/* ---- start and loop ---- */

static void make_boot_id(char boot[13]) {
  uint8_t random[6];
  int fd = open("/dev/urandom", O_RDONLY);
  if (fd < 0 || read(fd, random, sizeof random) != (ssize_t)sizeof random) fail("/dev/urandom");
  close(fd);
  for (int i = 0; i < 6; i++) sprintf(boot + 2 * i, "%02x", random[i]);
  memcpy(&dice, random, sizeof dice);
  dice |= 1;
}

static long whole(const char *text, long least, long most) {
  char *end;
  errno = 0;
  long number = text == NULL ? -1 : strtol(text, &end, 10);
  if (text == NULL || *text == '\0' || *end != '\0' || number < least || number > most) {
    errno = 0;
    fail("a number of the options");
  }
  return number;
}

static void run(long every, long readings, bool until_stdin_ends) {
  long taken = 0;
  uint32_t taken_at = millis();
  while (!stopped) {
    struct pollfd fds[3] = {{listener, POLLIN, 0}, {line_fd, POLLIN, 0},
                            {until_stdin_ends ? STDIN_FILENO : -1, POLLIN, 0}};
    poll(fds, 3, every < 10 ? (int)every : 10);
    if (fds[2].revents != 0) {
      char unused[64];
      if (read(STDIN_FILENO, unused, sizeof unused) == 0) return;
    }
    if (fds[1].revents != 0) receive();
    if (fds[0].revents != 0) take_client();
    while ((readings < 0 || taken < readings) && millis() - taken_at >= (uint32_t)every) {
      invent_reading((uint32_t)taken++);
      taken_at += (uint32_t)every;
    }
    while (!stopped && instrument_poll(&device)) {
    }
  }
}

int main(int count, char **words) {
  static char boot[13];
  static instrument_setup setup = {"Tallywire", "example instrument", "C99-0001", "1.0", boot,
                                   CHANNEL_LIST, 4, millis, put_bytes, time_of_day};
  long port = -1, every = 1000, readings = -1;
  bool pty = false, until_stdin_ends = false;
  for (int i = 1; i < count; i++) {
    const char *value = i + 1 < count ? words[i + 1] : NULL;
    if (strcmp(words[i], "--pty") == 0) {
      pty = true;
    } else if (strcmp(words[i], "--until-stdin-ends") == 0) {
      until_stdin_ends = true;
    } else {
      if (strcmp(words[i], "--tcp") == 0) port = whole(value, 0, 65535);
      else if (strcmp(words[i], "--every") == 0) every = whole(value, 1, 3600000);
      else if (strcmp(words[i], "--readings") == 0) readings = whole(value, 0, 1000000000);
      else if (strcmp(words[i], "--serial") == 0 && value != NULL) setup.serial = value;
      else port = -2;
      i++;
    }
  }
  if (pty == (port >= 0) || port == -2) {
    fputs("usage: instrument (--tcp PORT | --pty) [--every MS] [--readings N] [--serial S]\n"
          "                  [--until-stdin-ends]\n", stderr);
    return 2;
  }
  make_boot_id(boot);
  for (const char *c = setup.serial; *c != '\0'; c++) {
    if (*c < 0x20 || *c > 0x7E || c - setup.serial >= 64) fail("--serial");
  }
  if (*setup.serial == '\0' || !instrument_start(&device, &setup)) fail("--serial");
  signal(SIGPIPE, SIG_IGN);
  signal(SIGTERM, stop);
  signal(SIGINT, stop);
  if (pty) open_pty();
  else listen_tcp((int)port);
  fflush(stdout);
  if (pty) instrument_announce(&device);
  run(every, readings, until_stdin_ends);
  return 0;
}

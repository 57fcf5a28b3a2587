/*
 * The delivery rules of the line protocol (shared/protocol.md, L-14 to L-27) as a model for spin.
 * README.md beside this file says what is modelled, what is not, and how to run it.
 */

#ifndef N
#define N 3 /* readings that are taken in all */
#endif
#ifndef STORE
#define STORE 2 /* readings that the instrument can hold */
#endif
#ifndef CREDIT
#define CREDIT 2
#endif
#ifndef FAULTS
#define FAULTS 2 /* how many things may go wrong in one run */
#endif
#ifndef LIVES
#define LIVES 2 /* lives of the instrument's store; each has its boot id (L-14) */
#endif
#ifndef QUESTIONS
#define QUESTIONS 5 /* L-27b */
#endif
#define ROOM 4 /* lines that a direction of the line holds */

/* What the journal says of a number: nothing, a reading of a life, or one of two gaps. */
#define NOTHING 0
#define READ_IN(l) (1 + (l))
#define OVERFLOW 8
#define MISSING 9

#define NO_BOOT 9
#define CELL(b, s) ((b) * (N + 1) + (s))

mtype = { none, hello, send, ack, hello_ok, send_ok, other_boot, beyond_last, start, reading, lost };

/* To the instrument: kind, req, boot, after or seq. */
chan to_instrument = [ROOM] of { mtype, byte, byte, byte };
/* To the bridge: kind, req (of a reading: the life it was taken in), boot, from or seq or first, to. */
chan to_bridge = [ROOM] of { mtype, byte, byte, byte, byte };

byte faults = FAULTS;

/* The instrument's store, which outlives a power failure or does not (L-14). */
byte life = 0;
byte boot = 0;
byte taken = 0; /* readings of all lives */
byte given = 0; /* the last number given */
byte oldest = 1; /* the oldest held; given + 1 if none is */
byte lost_from = 0; /* L-26: lost_from .. oldest - 1 went and is to be declared; 0: nothing went */

/* The instrument's memory, which no power failure leaves. */
bool greeted = false;
bool sending = false;
byte cursor = 0; /* sent in this turn up to here */
#ifdef L23_LAST_SENT
byte sent = 0; /* the highest number sent since it started */
#endif
byte base = 0; /* asked for or acknowledged up to here */
byte unacknowledged = 0; /* the last numbers of lines that count against the credit, as bits */
byte last_req = 0; /* the last request and its answer (L-16d) */
byte last_boot = 0;
byte last_after = 0;
mtype answer = none;
byte answer_first = 0;

/* The bridge's journal, which outlives everything; written in order. */
byte journal[LIVES * (N + 1)];
byte on_disk[LIVES]; /* everything up to here stands in it */

/* The bridge's memory. */
mtype open = none; /* the request that is open */
byte req = 0;
byte after = 0;
bool to_send = false; /* the request was not sent yet */
byte session = NO_BOOT;
byte next = 0;
byte batch[N + 1]; /* what came and is not on disk: on_disk + 1 .. next - 1 */
byte asked_at = 0;
byte times_asked = 0;
bool owes = false; /* an acknowledgement */
bool refused = false; /* by error 202: closed for good */
#ifdef L27_ONCE_IF_UNDAMAGED
bool damaged = false; /* since it asked */
#endif

/* Known to nobody: which numbers of a boot id overflowed, as bits. */
byte overflowed[LIVES];

/* Set just before each assertion, so that spin names the rule that broke. */
hidden byte S1_forgotten_is_in_journal = true;
hidden byte S2_once_in_journal = true;
hidden byte S3_nothing_silently_skipped = true;
hidden byte S4_overflow_only_if_it_was = true;
hidden byte S5_missing_only_if_gone = true;

#define BIT(s) (1 << (s))
#define COUNT(m) ((((m) >> 1) & 1) + (((m) >> 2) & 1) + (((m) >> 3) & 1) + (((m) >> 4) & 1) + (((m) >> 5) & 1) + (((m) >> 6) & 1))
#define HELD (given + 1 - oldest)
#define EMPTY (HELD == 0 && lost_from == 0)
#define FIRST_LOST (lost_from != 0 && cursor < oldest - 1)
#define CAN_SEND (sending && ((HELD > 0 && cursor < given) || FIRST_LOST) && COUNT(unacknowledged) < CREDIT)
#define BATCHED (session != NO_BOOT && next > on_disk[session] + 1)
#define QUIET (len(to_bridge) == 0 && len(to_instrument) == 0 && !to_send && !owes && !BATCHED && !CAN_SEND)
#define SILENT (QUIET && open == none) /* of two timers that run, that of the request ends first */
#define ANSWERS (req == r && !to_send)
#ifdef L23_LAST_SENT
#define ACKNOWLEDGEABLE sent
#else
#define ACKNOWLEDGEABLE given
#endif
#define DONE (taken == N && EMPTY && on_disk[boot] >= given)

/* S3: the first number that the instrument still answers for follows the last one on disk. */
inline check_s3() {
  S3_nothing_silently_skipped = ((lost_from != 0 -> lost_from : oldest) <= on_disk[boot] + 1);
  assert(S3_nothing_silently_skipped)
}

/* ---------------------------------------------------------------- the instrument */

inline take() {
  given++;
  taken++;
  if
  :: HELD > STORE ->
    overflowed[boot] = overflowed[boot] | BIT(oldest);
#ifndef SILENT_OVERFLOW
    lost_from = (lost_from == 0 -> oldest : lost_from);
#endif
    oldest++;
    check_s3()
  :: else
  fi
}

/* L-23, L-24a: only an acknowledgement lets it forget. */
inline forget(upto) {
  do
  :: oldest <= upto && oldest <= given ->
    S1_forgotten_is_in_journal = (journal[CELL(boot, oldest)] == READ_IN(life));
    assert(S1_forgotten_is_in_journal);
    unacknowledged = unacknowledged & ~BIT(oldest);
    lost_from = 0;
    oldest++
  :: else -> break
  od;
  if
  :: lost_from != 0 && upto >= oldest - 1 -> lost_from = 0
  :: lost_from != 0 && upto >= lost_from && upto < oldest - 1 -> lost_from = upto + 1
  :: else
  fi;
  i = 1;
  do
  :: i <= upto -> unacknowledged = unacknowledged & ~BIT(i); i++
  :: else -> i = 0; break
  od;
  base = (upto > base -> upto : base);
  cursor = (upto > cursor -> upto : cursor);
  check_s3()
}

/* L-19b: with which number the next line begins. */
inline first_beyond(n) {
  answer_first =
      (lost_from != 0 && n < oldest - 1 -> (lost_from > n + 1 -> lost_from : n + 1)
        : (n + 1 < oldest -> oldest : n + 1))
}

inline answer_hello() {
  greeted = true;
  sending = false; /* L-18, L-37a: the same line again too */
  cursor = 0; base = 0; unacknowledged = 0;
  last_req = r; last_boot = 0; last_after = 0;
  answer = hello_ok; answer_first = 0;
  to_bridge!hello_ok(r, boot, 0, 0)
}

inline answer_send() {
  if
  :: sending && answer == send_ok && last_req == r && last_boot == b && last_after == x ->
#ifdef L19_FRESH_FIRST
    first_beyond(cursor)
#else
    /* L-16d: the same first, and from the oldest unacknowledged on */
    cursor = x; base = x; unacknowledged = 0
#endif
  :: else ->
    last_req = r; last_boot = b; last_after = x;
    answer_first = 0;
    if
    :: b != boot || !greeted -> answer = other_boot /* L-19c, in this order */
    :: b == boot && greeted && x > given -> answer = beyond_last
    :: else ->
      answer = send_ok;
      sending = true;
      cursor = x; base = x; unacknowledged = 0;
      first_beyond(x)
    fi
  fi;
  to_bridge!answer(r, 0, answer_first, 0)
}

inline send_next() {
  if
  :: FIRST_LOST ->
    i = (lost_from > cursor + 1 -> lost_from : cursor + 1);
    to_bridge!lost(0, boot, i, oldest - 1);
    cursor = oldest - 1
  :: else ->
    i = (cursor + 1 < oldest -> oldest : cursor + 1);
    to_bridge!reading(life, boot, i, i);
    cursor = i
  fi;
  i = 0;
#ifdef L23_LAST_SENT
  sent = (cursor > sent -> cursor : sent);
#endif
  unacknowledged = unacknowledged | BIT(cursor)
}

inline lose_memory() {
  greeted = false; sending = false;
  cursor = 0; base = 0; unacknowledged = 0;
#ifdef L23_LAST_SENT
  sent = 0;
#endif
  last_req = 0; last_boot = 0; last_after = 0;
  answer = none; answer_first = 0
}

active proctype instrument() {
  mtype k = none;
  byte r = 0, b = 0, x = 0, i = 0;
  do
  :: DONE -> break
  :: atomic { !DONE && taken < N -> take() }
  :: atomic { CAN_SEND && nfull(to_bridge) -> send_next() }
  :: atomic { len(to_instrument) > 0 && nfull(to_bridge) ->
      if
      :: to_instrument?k, r, b, x
      :: faults > 0 -> faults--; to_instrument?<k, r, b, x> /* it will come again */
      :: faults > 0 -> faults--; to_instrument?k, r, b, x; k = none /* lost or damaged: L-8 */
      fi;
      if
      :: k == hello -> answer_hello()
      :: k == send -> answer_send()
      :: k == ack && b == boot && x <= ACKNOWLEDGEABLE -> forget(x)
      :: else /* L-23d */
      fi;
      k = none; r = 0; b = 0; x = 0
    }
#ifndef NO_RESEND
  /* L-24b: after three intervals, or, as a fault, too early */
  :: atomic { sending && cursor > 0 && !EMPTY && (SILENT || faults > 0) ->
      faults = (SILENT -> faults : faults - 1);
#ifdef RESEND_BEYOND_AFTER
      cursor = base;
#else
      cursor = 0;
#endif
      unacknowledged = 0
    }
#endif
  /* L-28c: it takes the link to be down */
  :: atomic { greeted && faults > 0 && !DONE -> faults--; greeted = false; sending = false;
      cursor = 0; base = 0; unacknowledged = 0 }
  /* power fails; the store is kept */
  :: atomic { faults > 0 && nfull(to_bridge) && !DONE ->
      faults--;
      lose_memory();
      if
      :: to_bridge!start(0, boot, 0, 0)
      :: skip /* L-15a is a SHOULD */
      fi
    }
  /* power fails; the store is lost */
  :: atomic { faults > 0 && life < LIVES - 1 && nfull(to_bridge) && !DONE ->
      faults--;
      lose_memory();
      life++;
#ifndef SAME_BOOT_AFTER_LOSS
      boot++;
#endif
      given = 0; oldest = 1; lost_from = 0;
      if
      :: to_bridge!start(0, boot, 0, 0)
      :: skip
      fi
    }
  od
}

/* ---------------------------------------------------------------- the bridge */

inline ask(kind, n) {
  open = kind;
  after = n;
  req = req % 30 + 1;
  to_send = true
}

inline drop_batch() {
  i = 0;
  do
  :: i <= N -> batch[i] = NOTHING; i++
  :: else -> i = 0; break
  od
}

/* L-12a, L-15b: what is not on disk is not acknowledged, so it comes again. */
inline greet() {
  drop_batch();
  session = NO_BOOT; next = 0;
  asked_at = 0; times_asked = 0;
  owes = false;
  ask(hello, 0)
}

inline write(b_, s_, what) {
  S2_once_in_journal = (journal[CELL(b_, s_)] == NOTHING);
  assert(S2_once_in_journal);
  journal[CELL(b_, s_)] = what
}

/* Declares next .. upto. */
inline declare(upto, why) {
  do
  :: next <= upto ->
    if
    :: why == OVERFLOW ->
      S4_overflow_only_if_it_was = ((overflowed[session] & BIT(next)) != 0);
      assert(S4_overflow_only_if_it_was)
    :: else ->
      S5_missing_only_if_gone = !(session == boot && next >= oldest && next <= given);
      assert(S5_missing_only_if_gone)
    fi;
    batch[next] = why;
    next++
  :: else -> break
  od
}

/* L-27a to c; leaves in_step. */
inline step(from) {
  in_step = false;
  if
  :: from <= next -> in_step = true
  :: from > next && asked_at != next ->
    asked_at = next; times_asked = 1;
#ifdef L27_ONCE_IF_UNDAMAGED
    damaged = false;
#endif
    ask(send, next - 1)
  :: from > next && asked_at == next && open == send -> skip /* from before it asked */
  :: from > next && asked_at == next && open != send ->
    if
#ifdef L27_ONCE_IF_UNDAMAGED
    :: damaged && times_asked < QUESTIONS ->
      damaged = false;
#else
    :: times_asked < QUESTIONS ->
#endif
      times_asked++;
      ask(send, next - 1)
    :: else -> declare(from - 1, MISSING); in_step = true
    fi
  fi
}

/* L-25a, L-26: a reading or, in place of readings, what the instrument says of their loss. */
inline got_numbered() {
  step(x);
  if
  :: in_step && k == lost -> declare(y, OVERFLOW); owes = true
  :: in_step && k == reading && x == next -> batch[x] = READ_IN(r); next++; owes = true
  :: in_step && k == reading && x < next ->
#ifdef NO_DUPLICATE_CHECK
    if
    :: x <= on_disk[session] -> write(session, x, READ_IN(r))
    :: else
    fi;
#endif
    owes = true
  :: !in_step
  fi;
  in_step = false
}

inline got_ok() {
  open = none;
  if
  :: x > after + 1 -> /* L-19d */
#ifdef L19_DECLARE_ALL
    /* what lies between after and first, also if it has come since it asked */
    S5_missing_only_if_gone = (next == after + 1);
    assert(S5_missing_only_if_gone);
#endif
    if
    :: x > next -> declare(x - 1, MISSING); owes = true
    :: else
    fi
  :: else
  fi;
  after = 0
}

inline got_line() {
  if
  :: k == hello_ok && open == hello && ANSWERS ->
    session = b;
    next = on_disk[b] + 1;
    ask(send, next - 1)
  :: k == send_ok && open == send && ANSWERS -> got_ok()
  :: k == other_boot && open == send && ANSWERS -> greet()
  :: k == beyond_last && open == send && ANSWERS -> refused = true
  :: k == start -> greet() /* L-15b */
  :: (k == reading || k == lost) && open != hello && b != session -> greet() /* L-15b */
  :: (k == reading || k == lost) && b == session -> got_numbered()
  :: else
  fi
}

inline cut_link() {
  do
  :: to_bridge?k, r, b, x, y
  :: to_instrument?k, r, b, x
  :: empty(to_bridge) && empty(to_instrument) -> break
  od;
  k = none; r = 0; b = 0; x = 0; y = 0
}

active proctype bridge() {
  mtype k = none;
  byte r = 0, b = 0, x = 0, y = 0, i = 0;
  bool in_step = false;
  atomic { greet() }
  do
  :: DONE -> break
  :: atomic { len(to_bridge) > 0 && !refused ->
      if
      :: to_bridge?k, r, b, x, y
      :: faults > 0 -> faults--; to_bridge?<k, r, b, x, y> /* it will come again */
      :: faults > 0 -> faults--; to_bridge?k, r, b, x, y; k = none /* lost */
#ifdef L27_ONCE_IF_UNDAMAGED
      :: faults > 0 -> faults--; to_bridge?k, r, b, x, y; k = none; damaged = true
#endif
      fi;
      got_line();
      k = none; r = 0; b = 0; x = 0; y = 0
    }
  :: atomic { to_send && nfull(to_instrument) ->
      to_instrument!open(req, (open == send -> session : 0), after);
      to_send = false
    }
  /* one entry goes to disk */
  :: atomic { BATCHED ->
      write(session, on_disk[session] + 1, batch[on_disk[session] + 1]);
      on_disk[session] = on_disk[session] + 1;
      batch[on_disk[session]] = NOTHING
    }
  /* L-23: what is on disk is acknowledged */
#ifdef ACK_BEFORE_DURABLE
  :: atomic { owes && nfull(to_instrument) -> to_instrument!ack(0, session, next - 1); owes = false }
#else
  :: atomic { owes && !BATCHED && nfull(to_instrument) ->
      to_instrument!ack(0, session, on_disk[session]); owes = false }
#endif
  /* L-29a: the time of a request is up, or, as a fault, seems to be */
  :: atomic { open != none && !to_send && !refused && nfull(to_instrument) && (QUIET || faults > 0) ->
      faults = (QUIET -> faults : faults - 1);
      to_instrument!open(req, (open == send -> session : 0), after)
    }
  /* L-28c: no beat comes from an instrument that was not greeted */
  :: atomic { open == none && !greeted && QUIET -> greet() }
  /* it crashes: the memory is gone; what lies in the line stays there */
  :: atomic { faults > 0 && !DONE -> faults--;
#ifdef L16_REQ_FROM_ONE
      req = 0;
#endif
      refused = false;
      greet()
    }
  /* the link is cut; the instrument notices or not */
  :: atomic { faults > 0 && !DONE ->
      faults--;
      cut_link();
      if
      :: greeted = false; sending = false; cursor = 0; base = 0; unacknowledged = 0
      :: skip
      fi;
      greet()
    }
  od
}

/* However many faults there were: every reading is on disk or declared, and the store is empty. */
ltl delivered { <> DONE }

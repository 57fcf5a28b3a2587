package org.tallywire.conform;

/** A deliberate defect of the {@link ToyInstrument}: what breaks, where, and in which words. */
enum Defect {
  WRONG_CRC("L-5a", "states"),
  NO_FINAL_TERMINATOR("L-12b", "nothing at all was heard"),
  LOWER_CASE_CHECK("L-5b", "lower-case digits"),
  REFUSES_LOWER_CASE_CHECK("L-5b", "no answer"),
  ANSWERS_DAMAGED("L-8a", "a wrong check value was answered"),
  ANSWERS_WITHOUT_CHECK("L-5c", "without a check value was answered"),
  TAKES_ANY_BYTE("L-4b", "outside 0x20 to 0x7E was answered"),
  BRIDGE_MARK("L-3a", "begins with < or !"),
  ANSWERS_ECHO("L-3b", "a beat of an instrument was answered"),
  CONTROL_CHARACTER("L-4a", "\\x07"),
  LINE_TOO_LONG("L-6a", "longer than 240"),
  TAKES_TOO_LONG("L-6b", "a line of 241 bytes was answered"),
  DEAF_AFTER_LONG("L-6b", "a right hello was not answered"),
  REFUSES_CR("L-2b", "no answer"),
  CR_ENDS_A_LINE("L-1b", "before its LF"),
  KEY_TWICE("L-10a", "stands twice"),
  TAKES_KEY_TWICE("L-10c", "expected <error code=101"),
  RAW_SPACE("L-1a", "no field of the form key=value"),
  LOWER_CASE_ESCAPE("L-9a", "upper-case hexadecimal"),
  TAKES_ANY_ESCAPE("L-9b", "expected <error code=101"),
  REFUSES_ESCAPES("L-9a", "expected <hello"),
  GARBAGE_DEAF("L-7b", "bytes of garbage"),
  ONE_LINE_LATE("L-7b", "a right hello was not answered"),
  ONLY_FIRST_MARK("L-7a", "no answer"),
  ANSWERS_EMPTY_LINE("L-7c", "empty lines was answered"),
  ACCEPTS_2_0("L-12c", "expected <error code=301"),
  REFUSES_1_99("L-32a", "expected <hello"),
  NO_UNKNOWN_FIELDS("L-32a", "expected <hello"),
  HELLO_WITHOUT_STORE("L-13a", "lacks the field store"),
  BEAT_OUT_OF_RANGE("L-13a", "beat=50 is not"),
  BOOT_ID_INVALID("L-13a", "1 to 32 of"),
  BOOT_ID_EACH_HELLO("L-14a", "nobody switched the instrument off"),
  BOOT_ID_DIFFERS_IN_BEAT("L-14a", "the hello said boot="),
  LONG_TEXT("L-31a", "at most 64 characters"),
  NO_201("L-30b", "expected <error code=201"),
  ANSWERS_UNASKED("L-30c", "an unknown kind was answered"),
  ANSWERS_ACK("L-16b", "no request was answered"),
  WRONG_REQ("L-16a", "without the number of any request"),
  REPEAT_UNANSWERED("L-16d", "no answer"),
  ACTS_TWICE("L-16d", "acted upon twice"),
  REPEAT_SENDS_NOTHING("L-16d", "the oldest unacknowledged reading, 1, is to come again"),
  REPEAT_STATES_ANOTHER_FIRST("L-16d", "the same >send was answered by"),
  REQ_ONLY_BY_NUMBER("L-16g", "expected <channel"),
  CHANNELS_SHORT("L-17a", "only 2 of 3 channels"),
  CHANNEL_TWICE("L-17a", "twice in the list"),
  CHANNELS_CHANGE("L-17c", "the list differs"),
  READINGS_BEFORE_SEND("L-18", "before >send came"),
  READINGS_AFTER_HELLO("L-18", "before >send came"),
  NO_302("L-19c", "expected <error code=302"),
  CREDIT_65("L-19c", "expected <error code=202"),
  AFTER_BEYOND("L-19c", "expected <error code=202"),
  FIRST_WRONG("L-19b", "it began with 1"),
  FIRST_MISSING("L-19b", "lacks the field first"),
  EXCEEDS_CREDIT("L-19a", "the credit is 1"),
  SKIPS("L-20a", "with no !lost for those between"),
  REPEATS_NUMBER("L-20a", "neither the next one"),
  AT_WITHOUT_Z("L-20c", "Z included"),
  SECOND_60("L-20c", "second 60"),
  NO_AT("L-20c", "lacks the field at"),
  CLOCK_WORD("L-20b", "clock=good is not"),
  STATUS_WORD("L-20d", "status=fine is not"),
  PHASE("L-21b", "phase=U is not A, B or C"),
  SENTINEL("L-22b", "over-range or under-range instead"),
  EXPONENT("L-22a", "v1=9.9e37"),
  COMMA("L-22a", "v1=1,5"),
  NO_VALUE("L-22c", "without any value"),
  UNLISTED_CHANNEL("L-22d", "was not listed"),
  DIGEST_WRONG("L-33a", "the bytes before"),
  DIGEST_NOT_LAST("L-33b", "at the end"),
  DIGEST_MISSING("L-33a", "the hello says can=digest"),
  DIGEST_UNSAID("L-13c", "can=digest"),
  ACK_GRANTS_NOTHING("L-23c", "the next reading did not come"),
  HONOURS_OTHER_BOOT("L-23d", "another boot id was honoured"),
  HONOURS_BEYOND("L-23d", "beyond the last sent was honoured"),
  HONOURS_WITHOUT_CREDIT("L-23d", "credit missing was honoured"),
  ACKED_AGAIN("L-19b", "expected first=2"),
  FORGETS("L-24a", "never acknowledged"),
  NEVER_REPEATS("L-24b", "came again"),
  NO_RESENT("L-24c", "without resent=1"),
  REPEAT_CHANGED("L-24c", "other content (at was"),
  LOST_UNDECLARED("L-26a", "sent no !lost"),
  NO_BEATS("L-28a", "a beat was due"),
  BEAT_WITHOUT_LAST("L-28a", "lacks the field last"),
  BEAT_WITH_LEADING_ZERO("L-38", "without sign or leading zero"),
  BEATS_AFTER_SILENCE("L-28c", "it still says !beat"),
  READINGS_AFTER_SILENCE("L-28c", "it still says !reading"),
  BEAT_REVIVES("L-28c", "then one >beat and no hello"),
  ERROR_CODE("L-30a", "code=99 is not"),
  CLOCK_SILENT("L-34b", "no answer"),
  CLOCK_GOES_BACK("L-34b", "went back"),
  CLOSES_ON_GARBAGE("L-7b", "the link was lost"),
  SAME_BOOT_AFTER_RESTART("L-14a", "its counter went back");

  private final String citation;
  private final String words;

  Defect(String citation, String words) {
    this.citation = citation;
    this.words = words;
  }

  String citation() {
    return citation;
  }

  String words() {
    return words;
  }
}

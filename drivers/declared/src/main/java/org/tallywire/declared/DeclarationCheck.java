package org.tallywire.declared;

import java.util.ArrayList;
import java.util.List;
import org.tallywire.api.Instrument;

/** Looks for what cannot be so in a file's parts together. */
final class DeclarationCheck {

  private DeclarationCheck() {}

  static void check(Section top, Declaration declaration) {
    questions(top, declaration);
    addresses(top, declaration);
    blocks(top, declaration);
    if (declaration.echo() && declaration.asks().isEmpty() && declaration.atStart().isEmpty()) {
      top.problem("lines", "has echo, and nothing is sent; leave echo out");
    }
  }

  private static void questions(Section top, Declaration declaration) {
    List<Question> all = new ArrayList<>(declaration.atStart());
    all.addAll(declaration.asks());
    List<LineRule> rules = declaration.rules();
    for (Question question : all) {
      String key = declaration.atStart().contains(question) ? "at-start" : "ask";
      boolean checks = question.parts().stream().anyMatch(Question.Part.Check.class::isInstance);
      if (checks && declaration.shape().check().isEmpty()) {
        top.problem(key, "sends {check}, and there is no check; write check: {kind: xor}");
      }
      boolean can =
          switch (question.answer()) {
            case NONE, LINES -> true;
            case READING -> rules.stream().anyMatch(rule -> !rule.readings().isEmpty());
            case IDENTITY -> rules.stream().anyMatch(LineRule::identifies);
            case BLOCK -> rules.stream().anyMatch(rule -> rule.block() == LineRule.Block.ENDS);
          };
      if (!can) {
        top.problem(
            key,
            switch (question.answer()) {
              case IDENTITY -> "waits for an identity, and no rule has identify: true; write one";
              case BLOCK -> "waits for a block, and no rule has block: ends; write one";
              default -> "waits for a reading, and no rule gives one; write one, or answer: none";
            });
      }
    }
  }

  private static void addresses(Section top, Declaration declaration) {
    boolean given = top.has("addresses");
    if (declaration.isAddressed() && !given) {
      top.problem(
          "addresses",
          "is missing, and {address} is sent; write the usual one, such as addresses: [\"01\"]");
    }
    if (given && !declaration.isAddressed()) {
      top.problem("addresses", "is there, and no question sends {address}; leave it out");
    }
    if (given && top.section("listen").isPresent()) {
      top.problem("listen", "cannot be on a shared line, where only who was asked speaks");
    }
    if (given && !declaration.constants().serial().equals(Instrument.UNNAMED.serial())) {
      top.problem("instrument", "has one serial for several addresses; leave serial out");
    }
    if (given) {
      try {
        DeclaredDriver.usual(declaration);
      } catch (IllegalArgumentException e) {
        top.problem("addresses", "cannot be so: " + e.getMessage());
      }
    }
  }

  private static void blocks(Section top, Declaration declaration) {
    boolean begins = false;
    boolean ends = false;
    for (LineRule rule : declaration.rules()) {
      begins |= rule.block() == LineRule.Block.BEGINS;
      ends |= rule.block() == LineRule.Block.ENDS;
    }
    if (begins != ends) {
      top.problem(
          "rules",
          begins
              ? "has a rule with block: begins, and none with block: ends; write it"
              : "has a rule with block: ends, and none with block: begins; write it");
    }
  }
}

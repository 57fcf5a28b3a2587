package org.tallywire.bridge;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.PrintWriter;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.NameplateFile;
import org.tallywire.format.Problems;
import org.tallywire.format.SetupException;
import org.tallywire.format.YamlFile;

/**
 * Asks a person for a nameplate: one question at a time, each answer checked at once, {@code <}
 * goes back to the one before. Reads lines, from a terminal or a pipe.
 */
final class NameplateQuestions {

  private static final String BACK = "<";

  private final BufferedReader in;
  private final PrintWriter out;
  private final String name;
  private final List<PlateQuestion> questions = PlateQuestion.all();

  /** Of a question that was gone back over the answer stays, to be offered again. */
  private final Map<String, String> answers = new LinkedHashMap<>();

  private final Deque<Integer> asked = new ArrayDeque<>();

  /**
   * Makes the questions.
   *
   * @param name of the file that is to be written, as told
   */
  NameplateQuestions(BufferedReader in, PrintWriter out, String name) {
    this.in = in;
    this.out = out;
    this.name = name;
  }

  /** Returns the text of the file, or nothing if the answers ended or the person does not want. */
  Optional<String> ask() throws IOException, SetupException {
    out.printf(
        "One question at a time. Enter takes what stands in brackets, %s goes back.%n", BACK);
    int at = 0;
    while (true) {
      at = fromQuestion(at);
      if (at < 0) {
        out.printf("%nThe answers ended before the last question.%n");
        return Optional.empty();
      }
      String text = PlateQuestion.file(questions, answers);
      try {
        Problems problems = new Problems();
        Nameplate plate = NameplateFile.read(YamlFile.parse(name, text, problems), problems);
        Optional<Boolean> wanted = show(plate);
        if (wanted.isPresent()) {
          return wanted.get() ? Optional.of(text) : Optional.empty();
        }
      } catch (SetupException e) {
        e.problems()
            .forEach(problem -> out.print(PlanText.lines("  ", "  ", Visible.text(problem))));
      }
      at = asked.isEmpty() ? 0 : asked.pop();
    }
  }

  /** Asks from a question on to the end; returns −1 if the answers ended. */
  private int fromQuestion(int first) throws IOException {
    int at = first;
    while (at < questions.size()) {
      PlateQuestion question = questions.get(at);
      if (!question.asked().test(answers)) {
        answers.remove(question.key());
        at++;
        continue;
      }
      Optional<String> said = said(question, at);
      if (said.isEmpty()) {
        return -1;
      }
      if (said.get().equals(BACK)) {
        at = asked.isEmpty() ? at : asked.pop();
        continue;
      }
      answers.put(question.key(), said.get());
      asked.push(at);
      at++;
    }
    return at;
  }

  /** Returns how many questions there are from one on, as far as the answers tell. */
  private long left(int from) {
    return questions.subList(from, questions.size()).stream()
        .filter(question -> question.asked().test(answers))
        .count();
  }

  /** Asks until an answer will do; returns nothing at the end of the answers. */
  private Optional<String> said(PlateQuestion question, int at) throws IOException {
    String begin = "%n%2d of %d  ".formatted(asked.size() + 1, asked.size() + left(at));
    out.print(PlanText.lines(begin, "          ", question.words()));
    while (true) {
      String usual = usual(question);
      out.printf(
          "  %s%s: ",
          question.key().replace("#", ""),
          usual.isEmpty() ? question.optional() ? " [not stated]" : "" : " [" + usual + "]");
      out.flush();
      String line = in.readLine();
      if (line == null) {
        return Optional.empty();
      }
      String answer = line.isBlank() ? usual : line.strip();
      if (answer.equals(BACK)) {
        return Optional.of(BACK);
      }
      if (answer.equals("-") && question.optional()) {
        return Optional.of("");
      }
      if (answer.isEmpty()) {
        if (question.optional()) {
          return Optional.of("");
        }
        out.printf("  This one is needed, for example %s.%n", question.example());
        continue;
      }
      Optional<String> problem = question.check().apply(answers, answer);
      if (problem.isEmpty()) {
        return Optional.of(answer);
      }
      out.print(PlanText.lines("  ", "  ", Visible.text(problem.get())));
    }
  }

  /** Returns what was said before, if it will still do, else what is usual. */
  private String usual(PlateQuestion question) {
    String before = answers.getOrDefault(question.key(), "");
    return !before.isEmpty() && question.check().apply(answers, before).isEmpty()
        ? before
        : question.preset().apply(answers);
  }

  /** Shows plate and doubts; returns whether it is to be written, nothing to go back. */
  private Optional<Boolean> show(Nameplate plate) throws IOException, SetupException {
    PlanSheet sheet =
        PlanSheet.of(plate, TestPlan.of(plate), CriteriaFile.shipped(CriteriaFile.DEFAULT));
    out.printf("%n%s", new PlanText(sheet).plateOnly());
    while (true) {
      out.printf("%nWrite %s? yes, no, or %s to go back [yes]: ", name, BACK);
      out.flush();
      String line = in.readLine();
      String answer = line == null ? "no" : line.strip();
      switch (answer) {
        case "", "yes", "y" -> {
          return Optional.of(true);
        }
        case "no", "n" -> {
          return Optional.of(false);
        }
        case BACK -> {
          return Optional.empty();
        }
        default -> out.printf("  Say yes, no or %s.%n", BACK);
      }
    }
  }
}

package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/** The readings of a test set by their steps. */
class EvidenceTest {

  private static final Nameplate PLATE = Samples.dyn11();
  private static final Step ONE = Samples.step(PLATE, "turns-ratio/HV-LV/A/3");
  private static final Step OTHER = Samples.step(PLATE, "turns-ratio/HV-LV/B/3");

  private static BookedReading booked(Step step, int second) {
    return Samples.booked(step, second, Samples.value(Quantity.TURNS_RATIO, "44", Unit.ONE));
  }

  @Test
  void theLastOfAStepCounts() {
    Evidence evidence = new Evidence();
    assertEquals(Optional.empty(), evidence.last(ONE.id()));
    evidence.book(booked(ONE, 1));
    evidence.book(booked(ONE, 2));
    evidence.book(booked(OTHER, 3));
    assertEquals(Optional.of(booked(ONE, 2)), evidence.last(ONE.id()));
    assertEquals(Optional.of(booked(OTHER, 3)), evidence.last(OTHER.id()));
    assertEquals(List.of(booked(ONE, 2), booked(OTHER, 3)), List.copyOf(evidence.last()));
  }

  /** DEVELOPERS.md, "A step whose last reading leaves it has none". */
  @Test
  void aReadingBookedToAnotherStepMovesThere() {
    Evidence evidence = new Evidence();
    evidence.book(booked(ONE, 1));
    evidence.book(booked(ONE, 2));
    evidence.book(booked(OTHER, 2));
    assertEquals(Optional.empty(), evidence.last(ONE.id()));
    assertEquals(Optional.of(booked(OTHER, 2)), evidence.last(OTHER.id()));
    evidence.book(booked(OTHER, 1));
    assertEquals(List.of(booked(OTHER, 1)), List.copyOf(evidence.last()));
  }

  @Test
  void aReadingThatWasNotTheLastLeavesThoseAfterIt() {
    Evidence evidence = new Evidence();
    evidence.book(booked(ONE, 1));
    evidence.book(booked(ONE, 2));
    assertEquals(Optional.empty(), evidence.unbook("no such reading"));
    assertEquals(Optional.empty(), evidence.book(booked(OTHER, 1)));
    assertEquals(Optional.of(booked(ONE, 2)), evidence.last(ONE.id()));
    assertEquals(Optional.of(ONE.id()), evidence.unbook(booked(ONE, 2).id()));
    assertEquals(Optional.empty(), evidence.last(ONE.id()));
  }
}

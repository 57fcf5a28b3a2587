package org.tallywire.simulator.scenario;

/** What is wrong with the leads between tester and unit. */
public sealed interface LeadFault extends Fault {

  /** Two line leads of one side sit on each other's terminals. */
  record SwappedLeads(Winding winding, Phase one, Phase other) implements LeadFault {
    public SwappedLeads {
      if (one == other) {
        throw new IllegalArgumentException("phase %s with itself".formatted(one));
      }
    }

    @Override
    public String place() {
      return winding + " " + one + other;
    }
  }

  /** The lead to the neutral does not make contact. */
  record MissingNeutral(Winding winding) implements LeadFault {
    @Override
    public String place() {
      return winding + " N";
    }
  }
}

package org.tallywire.fault;

import org.junit.platform.launcher.TestExecutionListener;
import org.junit.platform.launcher.TestPlan;

/** Prints the report when all tests are done. */
public final class TableAtTheEnd implements TestExecutionListener {

  @Override
  public void testPlanExecutionFinished(TestPlan plan) {
    Report.table().forEach(System.out::println);
  }
}

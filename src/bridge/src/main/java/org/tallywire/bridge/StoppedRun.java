package org.tallywire.bridge;

import java.util.concurrent.atomic.AtomicReference;

/** Tells what was found so far where people stop a run, with Ctrl-C say, before it is over. */
final class StoppedRun {

  private enum State {
    RUNNING,
    STOPPED,
    OVER
  }

  private final AtomicReference<State> state = new AtomicReference<>(State.RUNNING);
  private final Thread hook;

  /** Makes one; its hook is to be run when the process is told to end. */
  StoppedRun(Runnable tell) {
    this.hook = new Thread(() -> stop(tell), "stopped");
  }

  Thread hook() {
    return hook;
  }

  /** Tells whether people stopped the run; the hook then tells of it. */
  boolean isStopped() {
    return state.get() == State.STOPPED;
  }

  /** The run is over: the hook tells nothing any more. */
  void over() {
    state.compareAndSet(State.RUNNING, State.OVER);
  }

  private void stop(Runnable tell) {
    if (state.compareAndSet(State.RUNNING, State.STOPPED)) {
      System.out.printf("%nstopped; so far:%n");
      tell.run();
      System.out.flush();
    }
  }
}

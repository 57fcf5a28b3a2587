/**
 * The driver of an invented winding thermometer: the worked example for a driver in a jar of its
 * own. Read {@code ThermometerDriver}, then {@code ThermometerSession}.
 */
package org.example.thermometer;

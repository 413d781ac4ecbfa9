// Resistance of flexible copper cable, for those who know its section and length and not its ohms.
#pragma once

namespace ridethrough::circuit {

// Ohms of `length_m` metres of conductor (there and back: twice the distance) of a section from 1.5 to 35 mm2 at a
// temperature from -40 to 120 degC; IEC 60228 class 5, the largest resistance that the standard allows at 20 degC.
// Sections between the standard's are read between its neighbours. InputError outside those ranges.
double conductor_resistance_ohm(double section_mm2, double length_m, double temp_c = 20);

}  // namespace ridethrough::circuit

// Heat that food and drinks bring into a fridge, per kelvin that they are warmer than it.
#pragma once

namespace ridethrough::fridge {

// Specific heat of food, 3.5 kJ/kg K: mixed food is mostly water. From memory.
constexpr double kFoodWhPerKgK = 3.5 / 3.6;
// That of drinks, water's 4.18 kJ/kg K; a litre counts as a kilogram.
constexpr double kDrinksWhPerLK = 4.18 / 3.6;

}  // namespace ridethrough::fridge

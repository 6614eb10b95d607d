// tests/support/toy_construct.h - a field in the shape of a plated bone for the pictures; numbers invented, no mechanics
#pragma once
#include "solver/results.h"

/// Bone 20 x 18 x 160 mm in two halves, plate 11 x 3.3 x 65 mm on the medial side, six screws along y; von Mises from 0 to 400.
stifle::FieldData toy_construct();

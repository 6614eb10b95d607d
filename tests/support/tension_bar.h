// tests/support/tension_bar.h - a bar of quadratic tetrahedra with a known answer: uniaxial tension along z, made by hand
//   box 0..3 x 0..2 x 0..12 mm, every brick split into six tetrahedra; part `lower` below mid-length, `upper` above,
//   points doubled between them. E 200 000 MPa, nu 0.3, tension 100 MPa:
//   strain 100 / 200 000 = 5e-4; u = (-0.3 * 5e-4 x, -0.3 * 5e-4 y, 5e-4 z)
//   end forces: a constant traction on a straight six-node triangle gives 0 to the corners and A t / 3 to each mid-side
#pragma once
#include "solver/results.h"

stifle::FieldData tension_bar();

/// Positive for every cell when no cell is turned inside out.
double smallest_volume_mm3(const stifle::FieldData &field);

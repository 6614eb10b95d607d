// models/core/scenario_repairs.h - the keys of the repairs other than levelling: part of the declaration in scenario.cc
#pragma once
#include "models/core/scenario.h"

namespace stifle
{
inline const Source naming{Label::common_practice, "names and switches need no source"};

void visit_wedge(ParameterVisitor &v, WedgeParameters &p);
void visit_suture(ParameterVisitor &v, SutureParameters &p);
void visit_advancement(ParameterVisitor &v, AdvancementParameters &p);
} // namespace stifle

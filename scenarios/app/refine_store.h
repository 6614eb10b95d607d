// scenarios/app/refine_store.h - a refinement as a table, as the file that a later run takes up
#pragma once
#include "scenarios/app/refine.h"

namespace stifle::app
{
std::string refine_csv(const Refinement &refinement);
std::string refinement_text(const Refinement &refinement, const std::string &fingerprint);
/// False when the text is not a finished refinement of this fingerprint.
bool read_refinement(const std::string &text, const std::string &fingerprint, Refinement &refinement);
} // namespace stifle::app

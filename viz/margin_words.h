// viz/margin_words.h - how pictures write a margin
#pragma once
#include <string>

namespace stifle::viz
{
/// Two decimals, rounded down, below 10 (0.996 must not read as 1); none above; "below 0.01" and
/// "over 1000" beyond: more digits say nothing more.
std::string margin_words(double margin);
} // namespace stifle::viz

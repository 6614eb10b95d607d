// models/core/nearest.h - the known word a mistyped word was probably meant to be
//   out     the choice with the smallest edit distance (insert, delete, replace, swap of neighbours), at most 2;
//           "" when none is that near or when the word would have to change completely
#pragma once
#include <string>
#include <vector>

namespace stifle
{
int edit_distance(const std::string &a, const std::string &b);
std::string nearest_word(const std::string &word, const std::vector<std::string> &choices);
/// "a, b, c"
std::string join(const std::vector<std::string> &words);
} // namespace stifle

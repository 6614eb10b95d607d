// models/core/text_width.h - text for a terminal: columns it takes, cutting and wrapping. UTF-8 in and out
#pragma once
#include <string>

namespace stifle
{
constexpr int page_columns = 80;

/// Columns of one line: a wide character takes two, a combining one none; a byte that is no UTF-8 takes one.
int display_width(const std::string &line);
/// The longest beginning of a line that takes at most `columns`; one that is cut ends in "...".
std::string cut_to_width(const std::string &line, int columns);
/// Lines wider than `columns` are broken at spaces and go on `indent` spaces in; a word that is wider stays whole, so that a path can be
/// copied. Lines that fit are left as they are.
std::string wrap_text(const std::string &text, int columns = page_columns, int indent = 2);
} // namespace stifle

// models/core/text_scan.h - cheap look at the bytes of a YAML file before a recursive parser sees them
//   in      the whole content (not yet trusted)
//   out     the first thing that makes it unusable, or nothing
//   limits  250 kB, 10 000 bytes a line, 40 levels of brackets or of "- - -": a scenario needs about 4 kB, 200 and 3
#pragma once
#include "models/core/error.h"
#include <optional>

namespace stifle
{
constexpr std::size_t max_input_bytes = 250'000;
/// Bytes of the UTF-8 sequence that starts at byte `i`, 0 when it is broken.
std::size_t utf8_length(const std::string &text, std::size_t i);
/// By size alone, before a byte is read.
std::optional<InputProblem> check_size(const std::string &file, std::size_t bytes);
std::optional<InputProblem> scan_text(const std::string &file, const std::string &content);
} // namespace stifle

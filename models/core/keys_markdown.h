// models/core/keys_markdown.h - the manual of all keys as Markdown: a table for each section (scenarios/KEYS.md)
#pragma once
#include <string>

namespace stifle
{
/// Key, default, range or allowed words, unit, meaning, label and source; of one section or key, all with "". Throws InputError as describe_keys.
std::string keys_markdown(const std::string &path = "");
} // namespace stifle

// models/core/content_hash.h - FNV-1a hash (64 bit, the same on every machine) of what a result was made from
#pragma once
#include <cstdint>
#include <string>

namespace stifle
{
/// Bytes of a file; empty when it cannot be read.
std::string   content(const std::string &path);
/// Goes on from `value`.
std::uint64_t content_hash(const std::string &text, std::uint64_t value = 14695981039346656037ull);
/// Of the program that runs; its file is read once.
std::uint64_t program_hash();
} // namespace stifle

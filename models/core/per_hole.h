// models/core/per_hole.h - lists of the section `screws` that hold one entry for every hole, or one for all of them
#pragma once
#include <vector>

namespace stifle
{
/// `list` is not empty and has one entry, or one for each hole; `hole` counts from 0.
template <class T> const T &per_hole(const std::vector<T> &list, std::size_t hole)
{
  return list[list.size() == 1 ? 0 : hole];
}
} // namespace stifle

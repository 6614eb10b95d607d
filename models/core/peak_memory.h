// models/core/peak_memory.h - highest resident memory of this process so far (VmHWM), MB; 0 where the system does not tell
#pragma once

namespace stifle
{
double peak_memory_mb();
} // namespace stifle

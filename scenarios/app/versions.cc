#include "models/core/units.h"

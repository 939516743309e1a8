#include "engine/wall/wall.h"

# What the window needs beyond the engine. All are Debian 12 packages (.ci/packages.sh); without them the engine and its
# command are built alone.
find_package(glm QUIET)
find_package(glfw3 3.3 QUIET)
find_package(PNG QUIET)
pkg_check_modules(EPOXY QUIET IMPORTED_TARGET epoxy)
pkg_check_modules(EGL QUIET IMPORTED_TARGET egl)

set(STEEPWRIGHT_VIEWER_MISSING)
foreach(package IN ITEMS glm:libglm-dev glfw3:libglfw3-dev PNG:libpng-dev EPOXY:libepoxy-dev EGL:libegl-dev)
  string(REPLACE ":" ";" package ${package})
  list(GET package 0 found)
  list(GET package 1 debian)
  if(NOT ${found}_FOUND)
    list(APPEND STEEPWRIGHT_VIEWER_MISSING ${debian})
  endif()
endforeach()

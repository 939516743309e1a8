# What the window needs beyond the engine. All are Debian 12 packages (.ci/packages.sh); without them the engine and its
# command are built alone.
find_package(glm QUIET)
find_package(glfw3 3.3 QUIET)
find_package(PNG QUIET)
pkg_check_modules(EPOXY QUIET IMPORTED_TARGET epoxy)
pkg_check_modules(EGL QUIET IMPORTED_TARGET egl)
pkg_check_modules(IMGUI QUIET IMPORTED_TARGET imgui)

set(STEEPWRIGHT_VIEWER_MISSING)
foreach(package IN ITEMS glm:libglm-dev glfw3:libglfw3-dev PNG:libpng-dev EPOXY:libepoxy-dev EGL:libegl-dev IMGUI:libimgui-dev)
  string(REPLACE ":" ";" package ${package})
  list(GET package 0 found)
  list(GET package 1 debian)
  if(NOT ${found}_FOUND)
    list(APPEND STEEPWRIGHT_VIEWER_MISSING ${debian})
  endif()
endforeach()

if(IMGUI_FOUND)
  # The core with the OpenGL backend, which loads GL by itself.
  add_library(deps_imgui INTERFACE)
  target_link_libraries(deps_imgui INTERFACE PkgConfig::IMGUI ${CMAKE_DL_LIBS})
  add_library(deps::imgui ALIAS deps_imgui)
endif()

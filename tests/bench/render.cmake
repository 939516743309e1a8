# render_bench: frames drawn off-screen by whatever OpenGL there is.
if(NOT TARGET steepwright_viewer_render)
  message(STATUS "render_bench left out: needs the viewer")
  return()
endif()

add_executable(render_bench render_bench.cpp render_latency.cpp ../viewer/render_scenes.cpp ../support/malloc_guard.cpp)
target_link_libraries(render_bench PRIVATE steepwright::viewer_app PkgConfig::EPOXY)

# statics_bench: contact forces beside GLPK and Clp. Left out where the peers are not installed.
if(NOT TARGET steepwright_lp_peers)
  message(STATUS "statics_bench left out: needs GLPK and Clp")
  return()
endif()
add_executable(statics_bench statics_bench.cpp ../support/malloc_guard.cpp)
target_link_libraries(statics_bench PRIVATE steepwright::statics steepwright_lp_peers fmt::fmt)

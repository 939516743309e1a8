# grip_bench: the finger's program beside GLPK and Clp, a hand's capacity set. grip_sweeps: the plots of models/grips.
# grip_postures: the table that searches begin from.
if(TARGET steepwright_lp_peers)
  add_executable(grip_bench grip_bench.cpp ../support/malloc_guard.cpp)
  target_link_libraries(grip_bench PRIVATE steepwright::grip steepwright_lp_peers fmt::fmt)
else()
  message(STATUS "grip_bench left out: needs GLPK and Clp")
endif()
add_executable(grip_postures grip_postures.cpp)
target_link_libraries(grip_postures PRIVATE steepwright::grip steepwright::io fmt::fmt)
add_executable(grip_sweeps grip_sweeps.cpp)
target_link_libraries(grip_sweeps PRIVATE steepwright::grip steepwright::io fmt::fmt)

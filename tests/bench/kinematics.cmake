# kinematics_bench: forward kinematics and Jacobians beside Simbody (without it, the engine alone).
find_package(benchmark QUIET)
if(NOT benchmark_FOUND)
  message(STATUS "kinematics_bench left out: needs Google Benchmark")
  return()
endif()

add_executable(kinematics_bench kinematics_bench.cpp ../support/malloc_guard.cpp)
target_link_libraries(kinematics_bench PRIVATE steepwright::body benchmark::benchmark)
if(TARGET steepwright_simbody_peer)
  target_link_libraries(kinematics_bench PRIVATE steepwright_simbody_peer)
  target_compile_definitions(kinematics_bench PRIVATE STEEPWRIGHT_HAS_SIMBODY)
endif()

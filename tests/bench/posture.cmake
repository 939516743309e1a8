# posture_bench: inverse kinematics beside Ceres, posture with forces beside Ipopt, the whole stance. Left out where the
# peers are not installed.
find_package(benchmark QUIET)
find_package(Ceres QUIET)
pkg_check_modules(IPOPT QUIET IMPORTED_TARGET ipopt)
if(NOT benchmark_FOUND OR NOT Ceres_FOUND OR NOT IPOPT_FOUND)
  message(STATUS "posture_bench left out: needs Google Benchmark, Ceres and Ipopt")
  return()
endif()

add_executable(posture_bench posture_bench.cpp posture_table.cpp posture_contacts.cpp posture_margin.cpp
                             posture_stance.cpp peers_ceres.cpp peers_ipopt.cpp ../support/malloc_guard.cpp)
target_link_libraries(posture_bench PRIVATE steepwright::posture steepwright::move fmt::fmt benchmark::benchmark
                                            Ceres::ceres PkgConfig::IPOPT)
# Ipopt 3.11 looks for its standard headers only when told that they exist.
target_compile_definitions(posture_bench PRIVATE HAVE_CSTDDEF)

# trace_bench: a whole move traced, memory over many traces, the choice of feet.
add_executable(trace_bench trace_bench.cpp ../support/malloc_guard.cpp)
target_link_libraries(trace_bench PRIVATE steepwright::move steepwright::io fmt::fmt)
target_compile_definitions(trace_bench PRIVATE STEEPWRIGHT_SOURCE_DIR="${CMAKE_SOURCE_DIR}")

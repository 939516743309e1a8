# risk_bench: a thousand draws over a traced move, beside the exact program.
add_executable(risk_bench risk_bench.cpp)
target_link_libraries(risk_bench PRIVATE steepwright::move steepwright::io fmt::fmt)
target_compile_definitions(risk_bench PRIVATE STEEPWRIGHT_SOURCE_DIR="${CMAKE_SOURCE_DIR}")

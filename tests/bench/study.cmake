# study_bench: reach maps, studies over samples; throughputs, two threads beside one, memory.
add_executable(study_bench study_bench.cpp)
target_link_libraries(study_bench PRIVATE steepwright::study steepwright::io fmt::fmt)

#include "engine/cli/program.h"

int main(int argc, char** argv) { return steepwright::cli::run_program(argc, argv); }

#include "engine/cli/study_common.h"
namespace steepwright::cli {
Exit run_study_seek(const StudySeekOptions& options) { return options.starts > 0 ? Exit::kBadInput : Exit::kBadInput; }
}  // namespace steepwright::cli

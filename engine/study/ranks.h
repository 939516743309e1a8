#pragma once

/// A study over several processes: the ranks of an MPI run. Rank 0 hands out chunks of samples to whoever is idle,
/// itself included, and takes the rows in order; a rank that dies costs the chunk it had open, which another one then
/// computes. Without MPI, or when the program was not started by mpirun, there is one rank.

#include "engine/study/hand_out.h"

#include <memory>
#include <optional>

namespace steepwright::study {

class Ranks {
 public:
  Ranks();   ///< joins the run
  ~Ranks();  ///< leaves it; on rank 0 after telling the others that there is no more work
  Ranks(const Ranks&) = delete;
  Ranks& operator=(const Ranks&) = delete;

  [[nodiscard]] int rank() const;
  [[nodiscard]] int count() const;
  [[nodiscard]] bool is_first() const { return rank() == 0; }

  /// Rank 0: hands out, `take` gets the rows. Others: compute what they are handed; they return when rank 0 says so.
  /// One rank: on threads.
  [[nodiscard]] HandOutEnd run(const HandOut& hand_out);

  /// Rank 0 gives a text to all others; they return it, or nothing when there is no more work.
  [[nodiscard]] std::optional<std::string> share(const std::string& text);

 private:
  struct Storage;
  std::unique_ptr<Storage> storage_;
};

}  // namespace steepwright::study

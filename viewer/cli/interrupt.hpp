// Ctrl+C while something long runs: asked for, so that what was begun is put back in order; a second one ends
// the program at once.
#pragma once

namespace landfall::cli {

class Interrupt {
 public:
  Interrupt();
  ~Interrupt();
  Interrupt(const Interrupt&) = delete;
  Interrupt& operator=(const Interrupt&) = delete;
  Interrupt(Interrupt&&) = delete;
  Interrupt& operator=(Interrupt&&) = delete;

  [[nodiscard]] bool came() const;

 private:
  void (*before_)(int);
};

}  // namespace landfall::cli

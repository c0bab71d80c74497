#include "viewer/cli/interrupt.hpp"

#include <csignal>

namespace landfall::cli {
namespace {

volatile std::sig_atomic_t came_in = 0;  // all that a signal handler may write

extern "C" void note_interrupt(int) {
  came_in = 1;
  std::signal(SIGINT, SIG_DFL);
}

}  // namespace

Interrupt::Interrupt() : before_(SIG_DFL) {
  came_in = 0;
  // What runs in the background of a shell ignores it, and goes on to: asked before anything is set.
  struct sigaction present {};
  if (sigaction(SIGINT, nullptr, &present) == 0 && present.sa_handler == SIG_IGN) {
    before_ = SIG_IGN;
    return;
  }
  before_ = std::signal(SIGINT, note_interrupt);
  if (before_ == SIG_ERR) before_ = SIG_DFL;
}

Interrupt::~Interrupt() {
  std::signal(SIGINT, before_);
}

bool Interrupt::came() const {
  return came_in != 0;
}

}  // namespace landfall::cli

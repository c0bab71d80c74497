// Work on a thread of its own that hands over what it made piece by piece.
#pragma once

#include <atomic>
#include <functional>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

namespace landfall::app {

template <class Piece>
class Task {
 public:
  // What the work sees of its task.
  class Hand {
   public:
    explicit Hand(Task& task) : task_(task) {}
    [[nodiscard]] bool stopped() const { return task_.stopped_; }
    void over(Piece piece) {
      {
        const std::lock_guard lock(task_.mutex_);
        task_.made_.push_back(std::move(piece));
      }
      if (task_.on_change_) task_.on_change_();
    }

   private:
    Task& task_;
  };

  // Starts at once. `work` looks at stopped() between two pieces and lets no exception out; `on_change` is
  // called from the task's thread after each piece and at the end.
  Task(std::function<void(Hand&)> work, std::function<void()> on_change)
      : on_change_(std::move(on_change)), thread_([this, work = std::move(work)] {
          Hand hand(*this);
          work(hand);
          done_ = true;
          if (on_change_) on_change_();
        }) {}
  // Waits until the piece that is being made is done.
  ~Task() {
    stopped_ = true;
    thread_.join();
  }
  Task(const Task&) = delete;
  Task& operator=(const Task&) = delete;
  Task(Task&&) = delete;
  Task& operator=(Task&&) = delete;

  // Those made since the last call.
  std::vector<Piece> take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(made_, {});
  }
  [[nodiscard]] bool done() const { return done_; }

 private:
  std::function<void()> on_change_;
  std::atomic<bool> stopped_ = false;
  std::atomic<bool> done_ = false;
  std::mutex mutex_;
  std::vector<Piece> made_;
  std::thread thread_;  // last: it uses all of the above
};

}  // namespace landfall::app

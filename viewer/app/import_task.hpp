// An import on a thread of its own, on its own connection to the bench file: the window goes on meanwhile.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>

#include "viewer/app/import.hpp"

namespace landfall::app {

class ImportTask {
 public:
  // Starts at once. `on_change` is called from the task's thread after each step and at the end.
  ImportTask(std::filesystem::path bench_file, ImportRequest request, std::function<void()> on_change);
  // Asks it to stop and waits until the step that runs is done.
  ~ImportTask();
  ImportTask(const ImportTask&) = delete;
  ImportTask& operator=(const ImportTask&) = delete;
  ImportTask(ImportTask&&) = delete;
  ImportTask& operator=(ImportTask&&) = delete;

  // The import ends soon, within a file or while its rows are written, and leaves the bench as it was; only
  // what is being committed already is kept.
  void stop() { stopped_ = true; }
  [[nodiscard]] bool stopping() const { return stopped_; }
  [[nodiscard]] ImportStep step() const;
  // Nothing while it runs.
  [[nodiscard]] std::optional<Result<ImportReport>> result() const;

 private:
  void run(const std::filesystem::path& bench_file);

  ImportRequest request_;
  std::function<void()> on_change_;
  std::atomic<bool> stopped_ = false;
  mutable std::mutex mutex_;
  ImportStep step_;
  std::optional<Result<ImportReport>> result_;
  std::thread thread_;  // last: it uses all of the above
};

}  // namespace landfall::app

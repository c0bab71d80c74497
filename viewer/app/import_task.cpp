#include "viewer/app/import_task.hpp"

#include <exception>

namespace landfall::app {

ImportTask::ImportTask(std::filesystem::path bench_file, ImportRequest request,
                       std::function<void()> on_change)
    : request_(std::move(request)), on_change_(std::move(on_change)) {
  request_.on_step = [this](const ImportStep& step) {
    {
      const std::lock_guard lock(mutex_);
      step_ = step;
    }
    if (on_change_) on_change_();
    return !stopped_.load();
  };
  thread_ = std::thread([this, file = std::move(bench_file)] { run(file); });
}

ImportTask::~ImportTask() {
  stop();
  thread_.join();
}

void ImportTask::run(const std::filesystem::path& bench_file) {
  std::optional<Result<ImportReport>> result;
  try {
    auto bench = store::Bench::open(bench_file);
    if (bench.ok()) {
      store::Bench own = std::move(bench).value();
      result = import_files(own, request_);
    } else {
      result = Result<ImportReport>(bench.error());
    }
  } catch (const std::exception& error) {
    result = Result<ImportReport>(Error{ErrorCode::kInput, error.what()});
  }
  {
    const std::lock_guard lock(mutex_);
    result_ = std::move(result);
  }
  if (on_change_) on_change_();
}

ImportStep ImportTask::step() const {
  const std::lock_guard lock(mutex_);
  return step_;
}

std::optional<Result<ImportReport>> ImportTask::result() const {
  const std::lock_guard lock(mutex_);
  return result_;
}

}  // namespace landfall::app

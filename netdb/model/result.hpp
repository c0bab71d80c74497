// What can fail and has one reason: Result<T>, either a value or an Error that says why in one sentence.
#pragma once

#include <cassert>
#include <optional>
#include <string>
#include <utility>
#include <variant>

namespace landfall {

enum class ErrorCode {
  kNotFound,  // the thing asked for is not there, or the answer is 'no'
  kUsage,     // the question itself is wrong
  kInput,     // a file cannot be understood
  kChoice,    // the user must choose; the message lists what
  kBench,     // the bench file
};

struct Error {
  ErrorCode code = ErrorCode::kUsage;
  std::string message;  // one sentence; "FILE:LINE:COLUMN: ..." where there is a place
};

// Implicit from either half. Asking for the half that is not there is a bug and asserts.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : held_(std::move(value)) {}  // NOLINT(google-explicit-constructor): that is its purpose
  Result(Error error)
      : held_(std::move(error)) {}  // NOLINT(google-explicit-constructor): that is its purpose

  [[nodiscard]] bool ok() const { return held_.index() == 0; }
  explicit operator bool() const { return ok(); }

  [[nodiscard]] const T& value() const& {
    assert(ok());
    return *std::get_if<0>(&held_);
  }
  [[nodiscard]] T& value() & {
    assert(ok());
    return *std::get_if<0>(&held_);
  }
  // By value, so that `for (x : f().value())` does not run over a dead temporary.
  [[nodiscard]] T value() && {
    assert(ok());
    return std::move(*std::get_if<0>(&held_));
  }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }
  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  T operator*() && { return std::move(*this).value(); }

  [[nodiscard]] const Error& error() const {
    assert(!ok());
    return *std::get_if<1>(&held_);
  }

 private:
  std::variant<T, Error> held_;
};

using Status = Result<std::monostate>;
inline Status done() {
  return std::monostate{};
}

}  // namespace landfall

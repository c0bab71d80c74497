// A list in blocks that go straight back to the system when they have been used.
#pragma once

#include <algorithm>
#include <cstddef>
#include <memory>
#include <new>
#include <type_traits>
#include <vector>

#include <sys/mman.h>

namespace landfall::importers::ipc_d_356 {

// For the drafts of a file, which shrink while the board grows: they and the board would not both fit into
// the memory that is to be used. A std::vector takes its size twice when it grows; blocks from the heap stay
// with the process, since the heap learns from the first large piece given back not to return such pieces.
template <class T>
class BlockList {
  static_assert(std::is_trivially_copyable_v<T> && std::is_trivially_destructible_v<T>);

 public:
  void push_back(const T& item) {
    if (end_ == blocks_.size() * kBlock) blocks_.push_back(new_block());
    std::construct_at(blocks_.back().get() + end_++ % kBlock, item);
  }
  [[nodiscard]] bool empty() const { return begin_ == end_; }
  // The last; there must be one.
  T& back() { return blocks_.back()[(end_ - 1) % kBlock]; }

  // Each in order. Nothing was taken yet.
  template <class Use>
  void each(Use use) {
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
      const std::size_t count = std::min(kBlock, end_ - b * kBlock);
      for (std::size_t i = 0; i < count; ++i) use(blocks_[b][i]);
    }
  }
  // The first, which leaves the list; there must be one.
  T take_first() {
    Block& block = blocks_[begin_ / kBlock];
    const T item = block[begin_ % kBlock];
    if (++begin_ % kBlock == 0) block.reset();
    return item;
  }

 private:
  static constexpr std::size_t kBytes = std::size_t{256} * 1024;
  static constexpr std::size_t kBlock = kBytes / sizeof(T);

  struct Unmap {
    void operator()(T* block) const { munmap(block, kBytes); }
  };
  using Block = std::unique_ptr<T[], Unmap>;  // NOLINT(modernize-avoid-c-arrays): the library's spelling

  // All pages at once, which is much cheaper than one by one, unless the first block may do.
  [[nodiscard]] Block new_block() const {
    const int pages = blocks_.empty() ? 0 : MAP_POPULATE;
    void* at = mmap(nullptr, kBytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS | pages, -1, 0);
    if (at == MAP_FAILED) throw std::bad_alloc();
    return Block(static_cast<T*>(at));
  }

  std::vector<Block> blocks_;
  std::size_t begin_ = 0, end_ = 0;
};

}  // namespace landfall::importers::ipc_d_356

#include "viewer/cli/context.hpp"

int main(int argc, char** argv) {
  return landfall::cli::run(argc, argv);
}

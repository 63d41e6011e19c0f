# The program that draws the demo's photographs; built by templates-demo/run, and with the tests
# so that it cannot rot.
file(GLOB TW_IMAGES_SOURCES CONFIGURE_DEPENDS templates-demo/images/*.c)
add_executable(make-images EXCLUDE_FROM_ALL templates-demo/make-images.c ${TW_IMAGES_SOURCES})
target_link_libraries(make-images PRIVATE tw_flags PNG::PNG JPEG::JPEG m)
target_include_directories(make-images PRIVATE templates-demo)
set_target_properties(make-images PROPERTIES RUNTIME_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR})
if(TRIMWELL_TESTS)
  set_target_properties(make-images PROPERTIES EXCLUDE_FROM_ALL FALSE)
endif()
